package settings

import (
	"encoding/json"
	"strings"

	"fourfold/analysis/rules"
)

// Schema is the JSON schema (draft 7) of the object that FromJSON reads, made from
// the table of settings.
func Schema() []byte {
	properties := map[string]any{}
	inTables := map[string]map[string]any{}
	for _, k := range rules.SettingKeys() {
		table, name, nested := strings.Cut(k.Name, ".")
		if !nested {
			properties[k.Name] = schemaOf(k)
			continue
		}
		if inTables[table] == nil {
			inTables[table] = map[string]any{}
		}
		if name != "" {
			inTables[table][name] = schemaOf(k)
			continue
		}
		for _, r := range rules.Names() {
			inTables[table][r] = schemaOf(k)
		}
	}
	for table, entries := range inTables {
		properties[table] = object(abouts[table], entries)
	}
	whole := object("What Fourfold can be told. Each setting has the same name in .fourfold.toml and in a %%fourfold line of a score.", properties)
	whole["$schema"] = "http://json-schema.org/draft-07/schema#"
	whole["title"] = "Fourfold"
	out, err := json.MarshalIndent(whole, "", "  ")
	if err != nil {
		panic(err) // maps of words and numbers are always JSON
	}
	return append(out, '\n')
}

// abouts say what the tables are.
var abouts = map[string]string{
	"severity": "how much a rule, or a group of rules, matters",
	"hints":    "what the editor shows inside the lines of a score",
	"set":      "numbers of the hand, on top of the named one",
}

func object(about string, properties map[string]any) map[string]any {
	return map[string]any{"type": "object", "description": about, "properties": properties, "additionalProperties": false}
}

func schemaOf(k rules.SettingKey) map[string]any {
	s := map[string]any{"description": k.About}
	if k.Default != nil {
		s["default"] = k.Default
	}
	switch k.Kind {
	case rules.NumberSetting:
		s["type"] = []string{"number", "null"}
		if k.Whole {
			s["type"] = []string{"integer", "null"}
		}
		s["minimum"], s["maximum"] = k.Least, k.Most
	case rules.ListSetting:
		s["type"] = []string{"array", "null"}
		s["items"] = map[string]any{"type": "string"}
	default:
		s["type"] = []string{"string", "null"}
		if k.Words != nil {
			words := []any{}
			for _, w := range k.Words {
				words = append(words, w)
			}
			s["enum"] = append(words, nil)
		}
	}
	return s
}

package score

import (
	"strconv"
	"strings"
)

// parseMeter reads M:. Free meter has no length.
func parseMeter(text string) (Meter, bool) {
	s := strings.TrimSpace(text)
	switch strings.ToLower(s) {
	case "none", "":
		return Meter{Text: s, Beat: F(1, 4)}, true
	case "c":
		return Meter{Text: s, Length: F(1, 1), Beat: F(1, 4)}, true
	case "c|":
		return Meter{Text: s, Length: F(1, 1), Beat: F(1, 2)}, true
	case "o":
		return Meter{Text: s, Length: F(3, 2), Beat: F(1, 2)}, true
	}
	s = strings.NewReplacer("(", "", ")", "", " ", "").Replace(s)
	upper, lower, found := strings.Cut(s, "/")
	if !found {
		lower = "4"
	}
	den, err := strconv.Atoi(lower)
	if err != nil || den < 1 || den > 1024 {
		return Meter{}, false
	}
	sum := 0
	for _, part := range strings.Split(upper, "+") {
		n, err := strconv.Atoi(part)
		if err != nil || n < 1 || n > 1024 {
			return Meter{}, false
		}
		sum += n
	}
	m := Meter{Text: text, Length: F(int64(sum), int64(den)), Beat: F(1, int64(den))}
	if !strings.Contains(upper, "+") && sum%3 == 0 && sum > 3 && den >= 8 {
		m.Compound = true
		m.Beat = F(3, int64(den))
	}
	return m, true
}

#!/bin/bash
# Sublime Text comes from nowhere that this script may fetch from: its files are
# checked as far as that goes without it.
. "$(dirname "$0")/../common.sh"
need python3 python3-yaml
python3 "$here/../keys.py" "$here/LSP.sublime-settings" 'clients.fourfold.enabled clients.fourfold.command clients.fourfold.selector show_inlay_hints' ||
  fail "the settings are not what the LSP package reads"
/usr/bin/python3 - "$here/ABC.sublime-syntax" <<'END' || fail "the syntax is not what Sublime Text reads"
import re, sys, yaml
syntax = yaml.safe_load(open(sys.argv[1]).read().split("---", 1)[1])
assert syntax["scope"] == "source.abc" and syntax["file_extensions"] == ["abc"], syntax
for rule in syntax["contexts"]["main"]:
    groups = re.compile(rule["match"]).groups
    assert set(rule) <= {"match", "scope", "captures"}, rule
    assert max(rule.get("captures", {0: ""})) <= groups, rule
END
missing "Sublime Text cannot be had here; its settings were read as JSON and its syntax as YAML, with the keys that they know"

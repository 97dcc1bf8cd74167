"""Reads a configuration as TOML or JSON and looks for keys that its editor does not
know: keys.py FILE 'KEY KEY.*…', with dots between the levels; KEY.* allows any below.
Ends with 1 and a line for each unknown key."""
import json
import sys
import tomllib


def keys(value, path=""):
    """The dotted paths of all leaves; lists are looked into without a number."""
    if isinstance(value, dict):
        for name, below in value.items():
            yield from keys(below, f"{path}.{name}" if path else name)
    elif isinstance(value, list) and any(isinstance(item, dict) for item in value):
        for item in value:
            yield from keys(item, path)
    else:
        yield path


def main(name, known):
    with open(name, "rb") as file:
        data = tomllib.load(file) if name.endswith(".toml") else json.load(file)
    allowed = known.split()
    found = list(keys(data))
    unknown = [k for k in found if k not in allowed and not any(a.endswith(".*") and k.startswith(a[:-1]) for a in allowed)]
    for key in unknown:
        print(f"{name}: the editor knows no key {key}", file=sys.stderr)
    return 1 if unknown or not found else 0


sys.exit(main(*sys.argv[1:]))

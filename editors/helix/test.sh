#!/bin/bash
# Helix comes from nowhere that this script may fetch from. Where it is installed
# it is asked what it thinks of the configuration; else that is checked by its keys.
. "$(dirname "$0")/../common.sh"
need python3
# The keys are those of the chapter "Languages" of the Helix book, 25.07.
python3 "$here/../keys.py" "$here/languages.toml" 'language-server.fourfold.command language-server.fourfold.args
  language.name language.scope language.file-types language.comment-token language.language-servers' ||
  fail "the configuration is not what Helix reads"
command -v hx > /dev/null || missing "Helix cannot be had here; its configuration was read as TOML, with the keys of the Helix book"
prepare
mkdir -p "$XDG_CONFIG_HOME/helix"
cp "$here/languages.toml" "$XDG_CONFIG_HOME/helix/"
hx --health abc | tee "$scratch/health"
grep -q "$scratch/bin/fourfold" "$scratch/health" || fail "Helix does not find the server for ABC"
missing "Helix was only asked for its health, which finds the server; no test drives it"

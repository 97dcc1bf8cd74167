#!/bin/bash
# Zed comes from nowhere that this script may fetch from: its extension is checked
# as far as that goes without it.
. "$(dirname "$0")/../common.sh"
need python3
python3 "$here/../keys.py" "$here/extension.toml" 'id name version schema_version authors description language_servers.fourfold.*' &&
  python3 "$here/../keys.py" "$here/languages/abc/config.toml" 'name path_suffixes first_line_pattern line_comments brackets.*' &&
  python3 "$here/../keys.py" "$here/Cargo.toml" 'package.* lib.crate-type dependencies.zed_extension_api' ||
  fail "the extension is not what Zed reads"
missing "Zed cannot be had here; its extension was read as TOML, with the keys that Zed knows"

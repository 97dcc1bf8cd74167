#!/bin/bash
# Tests the extension and packs it into fourfold.vsix. Needs Node 20 or newer and
# the npm registry.
set -euo pipefail
cd "$(dirname "$0")"
npm ci --ignore-scripts
npm test
npm run --silent build
npm exec --offline -- vsce package --no-rewrite-relative-links --allow-missing-repository --no-dependencies -o fourfold.vsix
size=$(stat -c %s fourfold.vsix 2> /dev/null || stat -f %z fourfold.vsix)
echo "fourfold.vsix: $((size / 1024)) kB"
if [ "$size" -ge 3000000 ]; then
  echo "fourfold.vsix is too large: 3 MB is the limit" >&2
  exit 1
fi

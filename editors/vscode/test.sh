#!/bin/bash
# Packs the extension and runs it in VS Code's own workbench: code-server, which
# serves that to a browser, in headless Chromium.
. "$(dirname "$0")/../common.sh"
cache=${FOURFOLD_EDITOR_CACHE:-$top/.cache/editors}/vscode

major=$(node --version 2> /dev/null | sed 's/^v\([0-9]*\).*/\1/')
[ "${major:-0}" -ge 20 ] && command -v npm > /dev/null || missing "needs Node 20 or newer with npm"
need chromium fonts-dejavu-core g++ make python3

# code-server's own install scripts fetch programs from elsewhere; what they would
# bring is built here instead.
install() {
  mkdir -p "$cache" && cd "$cache"
  npm_config_nodedir=$(dirname "$(dirname "$(readlink -f "$(command -v node)")")")
  export npm_config_nodedir
  npm init -y
  npm install --no-audit --no-fund --ignore-scripts code-server@4.100.3 playwright-core@1.65.1 node-gyp@11
  cd node_modules/code-server/lib/vscode # VS Code's own, second tree of packages
  npm install --no-audit --no-fund --ignore-scripts --omit=dev
  for module in node-pty @vscode/spdlog native-watchdog; do
    (cd "node_modules/$module" && "$cache/node_modules/.bin/node-gyp" rebuild)
  done
  ln -sfn node_modules node_modules.asar
  cd "$cache/node_modules/argon2" && "$cache/node_modules/.bin/node-pre-gyp" install --build-from-source
  touch "$cache/ready"
}
if [ ! -e "$cache/ready" ]; then
  say "installing code-server, about two minutes"
  (set -e; install) > "$scratch/install.log" 2>&1 || { tail -n 5 "$scratch/install.log" >&2; missing "code-server could not be installed from npm"; }
fi
"$here/package.sh" > "$scratch/package.log" 2>&1 || { tail -n 30 "$scratch/package.log" >&2; fail "the extension could not be packed"; }
say "$(tail -n 1 "$scratch/package.log")"

prepare
cp "$FOURFOLD_DEMO" "$scratch/scores/never-opened.abc"
# VS Code takes the PATH from a login shell.
echo "export PATH=\"$scratch/bin:\$PATH\"" | tee "$HOME/.profile" > "$HOME/.bashrc"
export FOURFOLD_PLAYWRIGHT="$cache/node_modules/playwright-core/index.mjs"
export FOURFOLD_CODE_SERVER="$cache/node_modules/code-server/out/node/entry.js"
export FOURFOLD_SCRATCH=$scratch FOURFOLD_PICTURE_FOLDER=$scratch
[ "${FOURFOLD_PICTURES:-}" = yes ] && FOURFOLD_PICTURE_FOLDER=$here/pictures && mkdir -p "$FOURFOLD_PICTURE_FOLDER"
node "$FOURFOLD_CODE_SERVER" --user-data-dir "$scratch/user" --extensions-dir "$scratch/extensions" \
  --install-extension "$here/fourfold.vsix" > "$scratch/extension.log" 2>&1 || { cat "$scratch/extension.log" >&2; fail "the package was refused"; }
timeout 540 node "$here/workbench/story.mjs" >&2 || true
if [ "${FOURFOLD_PICTURES:-}" = yes ]; then
  need imagemagick
  for picture in "$FOURFOLD_PICTURE_FOLDER"/*.png; do convert "$picture" -strip +dither -colors 96 "PNG8:$picture"; done
fi
judge
say "code-server $(node "$FOURFOLD_CODE_SERVER" --version 2> /dev/null | tail -n 1 | cut -d' ' -f1), all holds"

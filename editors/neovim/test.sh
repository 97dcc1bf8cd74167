#!/bin/bash
# Runs the server in a real Neovim without a window: marks, card, fix, undo, and
# that no process is left. Needs go and nvim, 0.7 or newer.
set -euo pipefail
cd "$(dirname "$0")"
top=$(cd ../.. && pwd)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

mkdir "$scratch/bin"
(cd "$top" && go build -o "$scratch/fourfold" ./cmd/fourfold)
# The server that the user's lines start, which tells its process number first.
cat > "$scratch/bin/fourfold" <<END
#!/bin/bash
echo \$\$ >> "$scratch/pids"
exec "$scratch/fourfold" "\$@" --log "$scratch/log"
END
chmod +x "$scratch/bin/fourfold"
cp "${1:-$top/testdata/demo/ferry-at-dusk.abc}" "$scratch/score.abc"

export PATH="$scratch/bin:$PATH" FOURFOLD_DEMO="$scratch/score.abc"
export XDG_CONFIG_HOME="$scratch" XDG_DATA_HOME="$scratch" XDG_STATE_HOME="$scratch" XDG_CACHE_HOME="$scratch"
if ! timeout 300 nvim --headless -u "$PWD/fourfold.lua" -i NONE -n -c "luafile $PWD/test.lua"; then
  echo "neovim: the test failed; the server's log:" >&2
  cat "$scratch/log" >&2 || true
  exit 1
fi
for pid in $(cat "$scratch/pids"); do
  if ! timeout 30 tail --pid="$pid" -f /dev/null; then
    echo "neovim: the server outlived the editor" >&2
    exit 1
  fi
done
echo "neovim: $(nvim --version | head -n 1): all holds, and the server ended with the editor"

# What the tests of all editors share; each editor's test.sh reads this file first.
# A test ends with 0 when all holds, 1 when something does not, and 77 when its
# editor cannot be had on this machine.
#
# Variables that a caller may set:
#   FOURFOLD_PICTURES=yes    renew the pictures in the editor's folder
#   FOURFOLD_EDITOR_CACHE    a folder that keeps downloads between runs
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
editor=$(basename "$here")
top=$(cd "$here/../.." && pwd)
scratch=$(mktemp -d)

# Everything that a test starts inherits this mark, and can be found by it.
export FOURFOLD_TEST=$scratch
marked() { env -u FOURFOLD_TEST grep -lsz "^FOURFOLD_TEST=$scratch\$" /proc/[0-9]*/environ | cut -d/ -f3; }
clean() {
  local pids
  pids=$(marked) && [ -n "$pids" ] && kill -9 $pids 2> /dev/null
  rm -rf "$scratch"
}
trap clean EXIT

say() { printf '%s: %s\n' "$editor" "$*"; }
fail() { say "FAILED: $*" >&2; exit 1; }
missing() { say "NOT RUN: $*" >&2; exit 77; }

# need PACKAGE… installs Debian packages that are not there yet.
need() {
  local wanted=()
  for package; do
    dpkg-query -W -f '${Status}' "$package" 2> /dev/null | grep -q 'install ok installed' || wanted+=("$package")
  done
  [ ${#wanted[@]} = 0 ] && return
  if [ "$(id -u)" != 0 ] || ! command -v apt-get > /dev/null; then
    missing "needs the Debian packages ${wanted[*]}, which cannot be installed here"
  fi
  apt-get update -q > "$scratch/apt.log" 2>&1 || true
  DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "${wanted[@]}" >> "$scratch/apt.log" 2>&1 ||
    { tail -n 3 "$scratch/apt.log" >&2; missing "the Debian packages ${wanted[*]} could not be installed"; }
}

# prepare builds the program and lays out a score for a driver:
#   FOURFOLD_DEMO    the score, in a folder of its own
#   FOURFOLD_LINE, FOURFOLD_COLUMN, FOURFOLD_END   the first figure that turns back:
#                    its line and columns in characters from 1, the last one excluded
#   FOURFOLD_MARKED  the text of that figure
#   FOURFOLD_FIX     the title of its first fix
#   FOURFOLD_REPORT  where a driver writes "ok: …", "FAILED: …", "first finding: N ms"
prepare() {
  mkdir "$scratch/bin" "$scratch/scores" "$scratch/home"
  (cd "$top" && go build -o "$scratch/fourfold" ./cmd/fourfold)
  # The server that the configuration starts, with a log.
  cat > "$scratch/bin/fourfold" <<END
#!/bin/bash
[ "\${1:-}" = serve ] && set -- "\$@" --log "$scratch/server.log"
exec "$scratch/fourfold" "\$@"
END
  chmod +x "$scratch/bin/fourfold"
  export PATH="$scratch/bin:$PATH" HOME="$scratch/home"
  export XDG_CONFIG_HOME="$HOME/.config" XDG_DATA_HOME="$HOME/.local/share" XDG_STATE_HOME="$HOME/.local/state"
  export XDG_CACHE_HOME="$HOME/.cache" XDG_RUNTIME_DIR="$scratch/run"
  mkdir -p -m 700 "$XDG_CONFIG_HOME" "$XDG_DATA_HOME" "$XDG_STATE_HOME" "$XDG_CACHE_HOME" "$XDG_RUNTIME_DIR"

  export FOURFOLD_DEMO="$scratch/scores/ferry-at-dusk.abc" FOURFOLD_REPORT="$scratch/report"
  cp "$top"/testdata/demo/*.abc "$scratch/scores"
  : > "$FOURFOLD_REPORT"
  local found
  found=$(fourfold check --format json "$FOURFOLD_DEMO" | grep -m 1 '"rule":"hands/turn"' || true)
  number() { sed -E "s/.*\"$1\":([0-9]+).*/\1/" <<< "$found"; }
  export FOURFOLD_LINE=$(number line) FOURFOLD_COLUMN=$(number column) FOURFOLD_END=$(number endColumn)
  export FOURFOLD_FIX=$(sed -E 's/.*"fixes":\["([^"]*)".*/\1/' <<< "$found")
  export FOURFOLD_MARKED=$(sed -n "${FOURFOLD_LINE}p" "$FOURFOLD_DEMO" | cut -c "$FOURFOLD_COLUMN-$((FOURFOLD_END - 1))")
  [[ $FOURFOLD_MARKED =~ ^[^[:space:]].*[A-Ga-g].*[^[:space:]]$ ]] || fail "the demo has no figure that turns back"
}

# judge prints what a driver reported, and fails unless it came to its end.
judge() {
  grep -vx end "$FOURFOLD_REPORT" | sed "s/^/$editor: /"
  if grep -q '^FAILED' "$FOURFOLD_REPORT" || ! grep -qx 'end' "$FOURFOLD_REPORT"; then
    tail -n 20 "$scratch/server.log" >&2 || true
    fail "the test did not come to its end"
  fi
  for tries in {1..300}; do
    [ -z "$(marked || true)" ] && say "ok: no process is left behind" && return
    sleep 0.1
  done
  ps -o pid,args -p "$(marked | paste -sd,)" >&2
  fail "processes were left behind"
}

# display starts a virtual screen of the given size, with a window manager.
display() {
  need xvfb openbox imagemagick xdotool fonts-dejavu-core
  : > "$scratch/display"
  Xvfb -displayfd 3 -screen 0 "$1x24" -nolisten tcp 3> "$scratch/display" 2> /dev/null &
  screen=$!
  for tries in {1..100}; do [ -s "$scratch/display" ] && break; sleep 0.1; done
  export DISPLAY=":$(cat "$scratch/display")"
  openbox > /dev/null 2>&1 &
  sleep 1
}
undisplay() { kill "$screen" 2> /dev/null || true; wait "$screen" 2> /dev/null || true; }

# picture NAME takes the virtual screen.
picture() {
  local target="$scratch"
  [ "${FOURFOLD_PICTURES:-}" = yes ] && target=$here
  import -silent -window root -strip +dither -colors 96 "PNG8:$target/$1.png"
}

# terminal COMMAND… runs an editor in a real terminal to its end. When pictures are
# wanted, a driver that meets FOURFOLD_HOLD writes a picture's name to that file
# and goes on once the file has gone.
terminal() {
  cd "$scratch/scores"
  if [ "${FOURFOLD_PICTURES:-}" = yes ]; then
    need xterm
    display 1120x720
    export FOURFOLD_HOLD="$scratch/hold"
    xterm -T "$editor" -fa 'DejaVu Sans Mono' -fs 11 -geometry 122x36+0+0 -bg '#1c1c1c' -fg '#e8e8e8' -e "$@" &
    local shown=$!
    while kill -0 "$shown" 2> /dev/null; do
      if [ -s "$FOURFOLD_HOLD" ]; then
        sleep 1.5 # until the window is mapped and drawn
        picture "$(cat "$FOURFOLD_HOLD")"
        rm "$FOURFOLD_HOLD"
      fi
      sleep 0.1
    done
    undisplay
  else
    need tmux
    tmux -L "fourfold-$$" -f /dev/null new-session -d -x 122 -y 38 "$(printf '%q ' "$@")"
    for tries in {1..1800}; do
      tmux -L "fourfold-$$" has-session 2> /dev/null || return 0
      sleep 0.1
    done
    tmux -L "fourfold-$$" capture-pane -p >&2 || true
    tmux -L "fourfold-$$" kill-server || true
    fail "the editor did not come to its end"
  fi
}

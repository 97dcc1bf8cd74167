#!/bin/bash
# Runs the server in real editors: all of them, or those named.
#   editors/test.sh [--pictures] [NAME…]
# Each test opens the demo, sees the findings at the right columns (also after an
# emoji), reads the card, takes a fix, and looks for processes left behind.
# --pictures renews the pictures in the READMEs. An editor that cannot be had on
# this machine is named at the end; if it was asked for by name, that is a failure.
set -uo pipefail
cd "$(dirname "$0")"
all="neovim vim emacs kate vscode helix zed sublime"
if [ "${1:-}" = --pictures ]; then
  export FOURFOLD_PICTURES=yes
  shift
fi
named=$#
if [ $named = 0 ]; then
  set -- $all
fi

passed=0 failed=0 skipped=0
summary=()
log=$(mktemp)
trap 'rm -f "$log"' EXIT
for name; do
  if [ ! -x "$name/test.sh" ]; then
    echo "editors/test.sh: there is no test for \"$name\"; there are: $all" >&2
    exit 2
  fi
  printf '\n== %s\n' "$name"
  timeout -k 10 900 "$name/test.sh" 2>&1 | tee "$log"
  case ${PIPESTATUS[0]} in
    0) passed=$((passed + 1)) result="all holds" ;;
    77) skipped=$((skipped + 1)) result=$(grep -m 1 -o 'NOT RUN: .*' "$log") ;;
    *) failed=$((failed + 1)) result="FAILED" ;;
  esac
  summary+=("$name: $result$(sed -n 's/.*first finding: /; first finding after /p' "$log" | paste -sd' ')")
done

printf '\n'
printf '%s\n' "${summary[@]}"
if [ $named != 0 ]; then
  failed=$((failed + skipped)) skipped=0
fi
echo "$passed passed, $failed failed, $skipped skipped"
[ $failed = 0 ]

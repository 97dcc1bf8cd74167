#!/bin/bash
# Runs the server in a real Emacs, in a terminal, with the lines of
# fourfold-eglot.el and then with those of fourfold-lsp-mode.el.
. "$(dirname "$0")/../common.sh"
need emacs-nox elpa-eglot elpa-lsp-mode
prepare
for client in eglot lsp-mode; do
  say "with $client"
  cp "$top/testdata/demo/ferry-at-dusk.abc" "$FOURFOLD_DEMO"
  : > "$FOURFOLD_REPORT"
  mkdir -p "$HOME/.emacs.d"
  cp "$here/fourfold-$client.el" "$HOME/.emacs.d/init.el"
  FOURFOLD_CLIENT=$client terminal timeout 300 emacs -nw -l "$here/test.el"
  judge
done
say "$(emacs --version | head -n 1): all holds"

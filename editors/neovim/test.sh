#!/bin/bash
# Runs the server in a real Neovim, 0.7 or newer, with the lines of fourfold.lua
# and no others. Without a window, unless pictures are wanted.
. "$(dirname "$0")/../common.sh"
command -v nvim > /dev/null || need neovim
prepare
run=(timeout 300 nvim -u "$here/fourfold.lua" -i NONE -n -c "luafile $here/test.lua")
if [ "${FOURFOLD_PICTURES:-}" = yes ]; then
  terminal "${run[@]}" --cmd 'set termguicolors' --cmd 'colorscheme slate' --cmd 'hi NormalFloat guibg=#303a48'
else
  "${run[@]}" --headless < /dev/null > "$scratch/screen" 2>&1 || cat "$scratch/screen" >&2
fi
judge
say "$(nvim --version | head -n 1): all holds"

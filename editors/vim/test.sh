#!/bin/bash
# Runs the server in a real Vim with Debian's ALE, in a terminal, with the lines
# of fourfold.vim and no others.
. "$(dirname "$0")/../common.sh"
need vim vim-ale
prepare
cp "$here/fourfold.vim" "$HOME/.vimrc"
terminal timeout 300 vim -i NONE -n --cmd 'colorscheme slate' -c "autocmd VimEnter * ++nested source $here/test.vim"
judge
say "$(vim --version | head -n 1 | cut -d' ' -f1-5): all holds"

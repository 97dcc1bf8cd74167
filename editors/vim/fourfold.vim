" Fourfold in Vim with ALE. Put this into your vimrc; `fourfold` must be on your PATH.
" ALE counts columns in bytes without saying so: hence --columns utf-8.
filetype plugin on
packadd! ale
let g:ale_linters = extend(get(g:, 'ale_linters', {}), {'abc': ['fourfold']})
let g:ale_hover_to_floating_preview = 1

augroup fourfold
  autocmd!
  autocmd VimEnter * call ale#linter#Define('abc', {
  \ 'name': 'fourfold', 'lsp': 'stdio', 'language': 'abc',
  \ 'executable': 'fourfold', 'command': '%e serve --columns utf-8',
  \ 'project_root': {buffer -> fnamemodify(bufname(buffer), ':p:h')}})
  autocmd FileType abc nnoremap <buffer> K :ALEHover<CR>
  autocmd FileType abc nnoremap <buffer> <Leader>f :ALECodeAction<CR>
augroup END

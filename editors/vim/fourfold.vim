" Fourfold in Vim with ALE. Put this into your vimrc; `fourfold` must be on your PATH.
" With Debian's ALE, `packadd ale` loads it.
call ale#linter#Define('abc', {
\ 'name': 'fourfold', 'lsp': 'stdio', 'language': 'abc',
\ 'executable': 'fourfold', 'command': '%e serve',
\ 'project_root': {b -> fnamemodify(bufname(b), ':p:h')}})
let g:ale_linters = extend(get(g:, 'ale_linters', {}), {'abc': ['fourfold']})
autocmd FileType abc nnoremap <buffer> K :ALEHover<CR>
autocmd FileType abc nnoremap <buffer> <Leader>f :ALECodeAction<CR>

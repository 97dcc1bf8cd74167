" Drives a real Vim through what a composer does with a score. It is run by
" test.sh; editors/common.sh tells the variables. Every wait is for a state; the
" limit only ends a run in which it never comes.
let s:limit = 30.0

function! s:report(line) abort
  call writefile([a:line], $FOURFOLD_REPORT, 'a')
endfunction

function! s:check(holds, what) abort
  call s:report((a:holds ? 'ok: ' : 'FAILED: ') . a:what)
  if !a:holds
    cquit
  endif
endfunction

function! s:await(Condition, what) abort
  let l:start = reltime()
  while !a:Condition() && reltimefloat(reltime(l:start)) < s:limit
    sleep 10m
  endwhile
  call s:check(a:Condition(), a:what)
endfunction

" Lets the screen be photographed when pictures are wanted.
function! s:hold(name) abort
  if empty($FOURFOLD_HOLD) | return | endif
  redraw
  call writefile([a:name], $FOURFOLD_HOLD)
  while filereadable($FOURFOLD_HOLD) | sleep 50m | endwhile
endfunction

function! s:turns() abort
  return filter(copy(ale#engine#GetLoclist(bufnr(''))), {_, d -> get(d, 'code', '') ==# 'hands/turn'})
endfunction

" The text that ALE marks: its columns are bytes from 1.
function! s:marked(d) abort
  return getline(a:d.lnum)[a:d.col - 1 : a:d.end_col - 1]
endfunction

" Says whether ALE's sign stands on the screen beside a line.
function! s:signed(line) abort
  redraw
  let l:row = screenpos(win_getid(), a:line, 1).row
  return l:row > 0 && screenstring(l:row, 1) =~# '[->]'
endfunction

function! s:letters(text) abort
  return sort(split(a:text, '\zs'))
endfunction

" ALE sees changes on an event that a script that blocks must give itself.
function! s:changed() abort
  doautocmd TextChanged
endfunction

function! s:test() abort
  let l:line = str2nr($FOURFOLD_LINE)
  let l:opened = reltime()
  execute 'edit' fnamemodify($FOURFOLD_DEMO, ':.')
  call s:check(&filetype ==# 'abc', 'the score is an abc file')
  call s:await({-> s:signed(l:line)}, 'a sign stands beside the line')
  call s:report(printf('first finding: %d ms', float2nr(reltimefloat(reltime(l:opened)) * 1000)))
  let l:first = s:turns()[0]
  call s:check(l:first.lnum == l:line && l:first.col == str2nr($FOURFOLD_COLUMN), 'the finding is in the right place')
  call s:check(s:marked(l:first) ==# $FOURFOLD_MARKED, 'it covers ' . $FOURFOLD_MARKED)

  " The same with characters of two, three and four bytes before the notes.
  let l:characters = '[r:é ♯ 🎵]'
  let l:before = getline(1, '$')
  call setline(l:line, l:characters . getline(l:line))
  call s:changed()
  call s:await({-> !empty(s:turns()) && s:turns()[0].col == l:first.col + len(l:characters)}, 'the finding moves with é ♯ 🎵')
  call s:check(s:marked(s:turns()[0]) ==# $FOURFOLD_MARKED, 'and covers the same notes')

  " The card.
  call cursor(l:line, s:turns()[0].col)
  ALEHover
  call s:await({-> !empty(popup_list())}, 'hover opens a window')
  let l:card = join(getbufline(winbufnr(popup_list()[0]), 1, '$'), "\n")
  for l:word in ['hand', 'bar', 'finger', 'note', 'Order', 'Next', '♩', 'holds up to']
    call s:check(stridx(l:card, l:word) >= 0, 'the card says ' . l:word)
  endfor
  call s:hold('card')
  call popup_clear()

  " The fix, after the emoji. ALE asks for its number.
  let &undolevels = &undolevels " what follows is undone by itself
  let l:start = getline(1, '$')
  let l:count = len(s:turns())
  let s:asked = ''
  function! ale#util#Input(message, ...) abort
    let s:asked = a:message
    for l:choice in split(a:message, "\n")
      let l:parts = matchlist(l:choice, '^\(\d\+\)) \(.*\)')
      if !empty(l:parts) && l:parts[2] ==# $FOURFOLD_FIX
        return l:parts[1]
      endif
    endfor
    return ''
  endfunction
  ALECodeAction
  call s:await({-> !empty(s:asked)}, 'fixes are offered')
  call s:await({-> getline(1, '$') != l:start}, 'the first one changes the buffer')
  call s:changed()
  call s:await({-> len(s:turns()) < l:count}, 'the finding goes')
  let l:after = getline(1, '$')
  call s:check(getline(l:line)[: len(l:characters) - 1] ==# l:characters, 'the emoji stands where it stood')
  call s:check(s:letters(l:after[l:line - 1]) == s:letters(l:start[l:line - 1]), 'the line has the same notes in another order')
  silent undo
  call s:changed()
  call s:check(getline(1, '$') == l:start, 'undo takes the change back')
  call s:await({-> len(s:turns()) == l:count && s:marked(s:turns()[0]) ==# $FOURFOLD_MARKED}, 'the finding comes back')
  call setline(1, l:before)
  call s:changed()
  call s:await({-> s:turns()[0].col == l:first.col}, 'and again without the emoji')
  call s:report('end')
  qall!
endfunction

try
  call s:test()
catch
  call s:report('FAILED: ' . v:exception . ' at ' . v:throwpoint)
  cquit
endtry

-- Drives a real Neovim through what a composer does with a score. It is run by
-- test.sh, which has set FOURFOLD_DEMO to a score with a figure that turns back
-- and can be put into one direction. Every
-- wait is for a state; the limit only ends a run in which it never comes.
local limit = 30000

local function check(holds, what)
  if not holds then
    io.stderr:write('FAILED: ' .. what .. '\n')
    vim.cmd('cquit 1')
  end
  io.stderr:write('ok: ' .. what .. '\n')
end

local function await(condition, what)
  check(vim.wait(limit, condition, 10), what)
end

-- turns are the findings of one rule, in the order of the text.
local function turns()
  local found = {}
  for _, d in ipairs(vim.diagnostic.get(0)) do
    if d.code == 'hands/turn' or (d.user_data and d.user_data.lsp and d.user_data.lsp.code == 'hands/turn') then
      table.insert(found, d)
    end
  end
  table.sort(found, function(a, b) return a.lnum < b.lnum or a.lnum == b.lnum and a.col < b.col end)
  return found
end

-- marked is the text under a finding. Neovim keeps byte columns, which it makes
-- from the server's UTF-16 columns and its own text.
local function marked(d)
  return table.concat(vim.api.nvim_buf_get_text(0, d.lnum, d.col, d.end_lnum, d.end_col, {}), '\n')
end

local function text()
  return table.concat(vim.api.nvim_buf_get_lines(0, 0, -1, true), '\n')
end

-- The score as it is.
vim.cmd('edit ' .. vim.fn.fnameescape(vim.env.FOURFOLD_DEMO))
check(vim.bo.filetype == 'abc', 'the score is an abc file')
await(function() return #turns() > 0 end, 'a figure that turns back is marked')
local first = turns()[1]
local figure = marked(first)
check(figure:match('^%S.*%S$') and figure:match('%a'), 'the mark covers notes and no more: ' .. figure)

-- The same with characters of two, three and four bytes before the notes.
local before = text()
vim.api.nvim_buf_set_text(0, first.lnum, 0, first.lnum, 0, { '[r:é ♯ 🎵]' })
local prefix = #'[r:é ♯ 🎵]'
await(function()
  local d = turns()[1]
  return d and d.lnum == first.lnum and d.col == first.col + prefix and marked(d) == figure
end, 'the mark stands right after é ♯ 🎵')
vim.cmd('silent undo')
await(function()
  local d = turns()[1]
  return text() == before and d and d.col == first.col
end, 'and again without them')

-- The card.
vim.api.nvim_win_set_cursor(0, { first.lnum + 1, first.col })
vim.lsp.buf.hover()
local function card()
  for _, w in ipairs(vim.api.nvim_list_wins()) do
    if vim.api.nvim_win_get_config(w).relative ~= '' then
      return table.concat(vim.api.nvim_buf_get_lines(vim.api.nvim_win_get_buf(w), 0, -1, true), '\n')
    end
  end
end
await(function() return card() ~= nil end, 'hover opens a window')
for _, word in ipairs({ 'hand', 'bar', 'finger', 'note', 'Order', 'Next', '♩', 'holds up to' }) do
  check(card():find(word, 1, true), 'the card says ' .. word)
end

-- The fix.
local count = #turns()
local asked
vim.ui.select = function(items, options, choose)
  asked = true
  for i, item in ipairs(items) do
    local d = item[2].diagnostics and item[2].diagnostics[1]
    if d and d.code == 'hands/turn' then
      return choose(item, i)
    end
  end
  choose(nil)
end
vim.lsp.buf.code_action()
await(function() return asked end, 'a fix is offered')
await(function() return text() ~= before end, 'it changes the buffer')
await(function() return #turns() < count end, 'the finding goes')
local after = text()
vim.cmd('silent undo')
check(text() == before and after ~= before, 'undo takes the change back')
await(function() return #turns() == count and marked(turns()[1]) == figure end, 'the finding comes back')

vim.cmd('qall!')

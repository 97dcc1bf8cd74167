-- Drives a real Neovim through what a composer does with a score. It is run by
-- test.sh; editors/common.sh tells the variables. Every wait is for a state; the
-- limit only ends a run in which it never comes.
local limit = 120000

local function report(line)
  local file = assert(io.open(vim.env.FOURFOLD_REPORT, 'a'))
  file:write(line .. '\n')
  file:close()
end

local function check(holds, what)
  report((holds and 'ok: ' or 'FAILED: ') .. what)
  if not holds then
    vim.cmd('cquit 1')
  end
end

local function await(condition, what)
  check(vim.wait(limit, condition, 10), what)
end

-- hold lets the screen be photographed when pictures are wanted.
local function hold(name)
  if not vim.env.FOURFOLD_HOLD then return end
  vim.cmd('redraw')
  vim.fn.writefile({ name }, vim.env.FOURFOLD_HOLD)
  vim.wait(limit, function() return vim.fn.filereadable(vim.env.FOURFOLD_HOLD) == 0 end, 50)
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

-- signed says whether a sign of severity stands on the screen beside a line.
local function signed(line)
  vim.cmd('redraw')
  local row = vim.fn.screenpos(0, line, 1).row
  return row > 0 and vim.fn.screenstring(row, 1):match('[EWIH]') ~= nil
end

-- The score as it is.
local opened = vim.loop.hrtime()
vim.cmd('edit ' .. vim.fn.fnamemodify(vim.env.FOURFOLD_DEMO, ':~:.'))
check(vim.bo.filetype == 'abc', 'the score is an abc file')
local line, column = tonumber(vim.env.FOURFOLD_LINE), tonumber(vim.env.FOURFOLD_COLUMN)
await(function() return signed(line) end, 'a sign stands beside the line')
report(('first finding: %d ms'):format((vim.loop.hrtime() - opened) / 1e6))
local first = turns()[1]
check(first.lnum == line - 1 and first.col == column - 1, 'the finding is in the right place')
local figure = vim.env.FOURFOLD_MARKED
check(marked(first) == figure, 'it covers ' .. figure)

-- The same with characters of two, three and four bytes before the notes.
local before = text()
local characters = '[r:é ♯ 🎵]'
vim.api.nvim_buf_set_text(0, first.lnum, 0, first.lnum, 0, { characters })
await(function()
  local d = turns()[1]
  return d and d.lnum == first.lnum and d.col == first.col + #characters and marked(d) == figure
end, 'the mark stands right after é ♯ 🎵')

-- The card.
vim.api.nvim_win_set_cursor(0, { first.lnum + 1, first.col + #characters })
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
hold('card')

-- The fix, after the emoji.
local start = text()
local count = #turns()
local asked
vim.ui.select = function(items, _, choose)
  asked = items
  for i, item in ipairs(items) do
    if item[2].title == vim.env.FOURFOLD_FIX then
      return choose(item, i)
    end
  end
  choose(nil)
end
vim.lsp.buf.code_action()
await(function() return asked end, 'fixes are offered')
await(function() return text() ~= start end, 'the first one changes the buffer')
await(function() return #turns() < count end, 'the finding goes')
local after = text()
local function letters(number, whole)
  local all = vim.split(vim.split(whole, '\n')[number], '')
  table.sort(all)
  return table.concat(all)
end
check(vim.fn.getline(line):sub(1, #characters) == characters, 'the emoji stands where it stood')
check(letters(line, after) == letters(line, start), 'the line has the same notes in another order')
vim.cmd('silent undo')
check(text() == start and after ~= start, 'undo takes the change back')
await(function() return #turns() == count and marked(turns()[1]) == figure end, 'the finding comes back')
vim.cmd('silent undo')
await(function()
  local d = turns()[1]
  return text() == before and d and d.col == first.col
end, 'and again without the emoji')

report('end')
vim.cmd('qall!')

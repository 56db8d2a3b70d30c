-- Neovim speaks with `wend language-server` as it does when somebody writes: run
-- headless, set up as lang/editors/README.md says. Every claim is printed; a
-- failed one ends with 1.
local failed = 0
local function claim(what, held, seen)
  io.stdout:write((held and 'ok    ' or 'FAILED ') .. what .. (held and '' or ': ' .. vim.inspect(seen)) .. '\n')
  if not held then failed = failed + 1 end
end

-- open shows a program in a buffer of its own and waits for the server.
local function open(name, text)
  local path = vim.env.WORK .. '/' .. name
  vim.fn.writefile(vim.split(text, '\n'), path)
  vim.cmd.edit(path)
  vim.wait(10000, function() return #vim.lsp.get_clients({ bufnr = 0 }) > 0 end)
  return vim.api.nvim_get_current_buf()
end

local function place(line, column)
  return { textDocument = vim.lsp.util.make_text_document_params(), position = { line = line, character = column } }
end

local function ask(method, params)
  local answers = vim.lsp.buf_request_sync(0, method, params, 10000) or {}
  for _, answer in pairs(answers) do return answer.result, answer.err end
end

local function codes()
  return vim.tbl_map(function(d) return d.code end, vim.diagnostic.get(0))
end

local function text() return table.concat(vim.api.nvim_buf_get_lines(0, 0, -1, false), '\n') end

open('first.wend', 'figure vane(size) {\n  ahead size\n}\n\nnote "𝄞 {1}"; vane 22\nahed 20\n')
claim('the file is known as wend', vim.bo.filetype == 'wend', vim.bo.filetype)
claim('a server is there', #vim.lsp.get_clients({ bufnr = 0 }) == 1)
claim('comments begin with #', vim.bo.commentstring == '# %s', vim.bo.commentstring)
claim('an unknown word is marked', vim.wait(10000, function() return vim.tbl_contains(codes(), 'unknown-word') end), codes())

local hover = ask('textDocument/hover', place(1, 4))
claim('hover shows the page of a word', hover and hover.contents.value:find('straight', 1, true) ~= nil, hover)

local found = ask('textDocument/completion', place(4, 18))
local labels = vim.tbl_map(function(item) return item.label end, found and (found.items or found) or {})
claim('completion offers what goes on', vim.tbl_contains(labels, 'vane'), labels)

local where = ask('textDocument/definition', place(4, 16))
claim('a definition is found, behind a sign of two units', where and (where.range or where[1].range).start.line == 0, where)

vim.api.nvim_win_set_cursor(0, { 1, 8 })
vim.lsp.buf.rename('blade')
claim('renaming changes every place', vim.wait(10000, function() return text():find('figure blade(size)', 1, true) and text():find('; blade 22', 1, true) end), text())

vim.api.nvim_win_set_cursor(0, { 6, 1 })
vim.wait(10000, function() return vim.tbl_contains(codes(), 'unknown-word') end)
vim.lsp.buf.code_action({ apply = true, filter = function(action) return action.title:find('ahead', 1, true) end })
claim('the edit of a message is carried out', vim.wait(10000, function() return text():find('\nahead 20', 1, true) end), text())
claim('and then nothing is wrong', vim.wait(10000, function() return #codes() == 0 end), codes())

vim.api.nvim_buf_set_lines(0, -1, -1, false, { 'loop 4 {', 'ahead   3', '}' })
vim.lsp.buf.format({ timeout_ms = 10000 })
claim('layout is the one of wend', text():find('loop 4 {\n  ahead 3\n}', 1, true), text())

vim.api.nvim_buf_set_lines(0, -1, -1, false, { 'ahead 9000' })
claim('off the page is marked as one types', vim.wait(20000, function() return vim.tbl_contains(codes(), 'line-off-page') end), codes())

-- Colours and folds from the committed parser.
local parser = vim.treesitter.get_parser(0, 'wend')
claim('tree-sitter reads it without an error', not parser:parse()[1]:root():has_error())
local captured = vim.tbl_map(function(c) return c.capture end, vim.treesitter.get_captures_at_pos(0, 1, 3))
claim('a word of the library has its colour', captured[#captured] == 'function.builtin', captured)
claim('a block folds', vim.treesitter.foldexpr(1) == '>1', vim.treesitter.foldexpr(1))

-- What is laid out already stays as it is when its lines are indented anew.
for _, path in ipairs(vim.fn.glob(vim.env.EXAMPLES .. '/*.wend', true, true)) do
  vim.cmd('enew')
  local lines = vim.fn.readfile(path)
  vim.api.nvim_buf_set_lines(0, 0, -1, false, lines)
  vim.bo.filetype = 'wend'
  vim.cmd('silent normal! gg=G')
  claim('indentation of ' .. vim.fs.basename(path), vim.deep_equal(lines, vim.api.nvim_buf_get_lines(0, 0, -1, false)),
    vim.diff(table.concat(lines, '\n'), text()))
end
vim.cmd(failed == 0 and 'qall!' or 'cquit!')

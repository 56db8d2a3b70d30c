-- Indentation as `wend format` has it: two blanks more within a bracket than the
-- line that opened it, and for a line with which the statement above goes on.
local M = {}

-- bare is a line without its comment, and with texts of which nothing is a sign.
local function bare(line)
  line = line:gsub('\\.', '  '):gsub('"[^"]*"?', function(text) return ('x'):rep(#text) end)
  return (line:gsub('#.*', ''):gsub('%s+$', ''))
end

-- begins_record reports whether what follows a { is the first field of a record.
local function begins_record(rest, n)
  while not rest:find('%S') or rest:find('^%s*#') do
    n = n + 1
    if n > vim.fn.line('$') then return false end
    rest = vim.fn.getline(n)
  end
  return rest:find('^%s*[%w_\128-\255]+%s*:') ~= nil or rest:find('^%s*"[^"]*"%s*:') ~= nil
end

-- opener is the line whose bracket is still open before a line, whether it is that
-- of a block, and whether the line ends with it, so that its items have lines of
-- their own.
local function opener(lnum)
  local closed = 0
  for n = lnum - 1, 1, -1 do
    local line = bare(vim.fn.getline(n))
    for at = #line, 1, -1 do
      local c = line:sub(at, at)
      if c:find('[%]})]') then
        closed = closed + 1
      elseif c:find('[%[{(]') then
        if closed == 0 then return n, c == '{' and not begins_record(vim.fn.getline(n):sub(at + 1), n), at == #line end
        closed = closed - 1
      end
    end
  end
end

-- goes_on reports whether a line goes on with what the line before began. A comma
-- ends an item, and so does it in a bracket that holds items.
local function goes_on(lnum, items)
  if not items and vim.fn.getline(lnum):find('^%s*%.[%a_]') then return true end
  local n = vim.fn.prevnonblank(lnum - 1)
  while n > 0 and vim.fn.getline(n):find('^%s*#') do n = vim.fn.prevnonblank(n - 1) end
  local before = n > 0 and bare(vim.fn.getline(n)) or ''
  return before:find(items and '[=+%-*/^<>]$' or '[,=:+%-*/^<>]$') ~= nil or before:find('%f[%w]and$') ~= nil or before:find('%f[%w]or$') ~= nil
end

function M.of(lnum)
  local line, block, last = opener(lnum)
  local columns = line and vim.fn.indent(line) or 0
  if vim.fn.getline(lnum):find('^%s*[%]})]') then return columns end
  if line then columns = columns + 2 end
  if (not line or block or last) and goes_on(lnum, line and not block) then columns = columns + 2 end
  return columns
end

return M

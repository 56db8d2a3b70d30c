-- The kernels of runtime/eval/testdata/kernels for Lua 5.4: one as argument,
-- its time in milliseconds comes back. Reading the file is left out.
local sin, cos, rad = math.sin, math.cos, math.pi / 180
local x0, y0, h0 = 0.0, 0.0, 0.0
local function reach(x, y) x0 = x; y0 = y end
local function ahead(d) x0 = x0 + d end
local function turn(a) h0 = h0 + a end

local kernels = {
  calls = function()
    local function fib(n)
      if n < 2 then return n end
      return fib(n - 1) + fib(n - 2)
    end
    return fib(30)
  end,
  arithmetic = function()
    local x = 1.0
    for i = 1, 10000000 do x = x * 1.0000001 + i * 0.5 end
    return x
  end,
  choices = function()
    local x, high = 0.3, 0
    for _ = 1, 5000000 do
      x = 3.99 * x * (1 - x)
      if x > 0.5 then high = high + 1 else high = high - 1 end
    end
    return high
  end,
  points = function()
    for i = 1, 1000000 do
      local a = i * 0.36
      reach(50 * cos(a * rad), 50 * sin(a * rad))
    end
  end,
  dragon = function()
    local function dragon(n, side)
      if n == 0 then
        ahead(0.1)
        return
      end
      dragon(n - 1, 90)
      turn(side)
      dragon(n - 1, -90)
    end
    dragon(20, 90)
  end,
  records = function()
    local walkers = {}
    for i = 1, 100 do walkers[i] = {x = 0, y = 0, step = i} end
    for _ = 1, 5000 do
      for _, w in ipairs(walkers) do
        local x = w.x
        w.x = w.x + w.step
        w.y = w.y - x / 2
      end
    end
    return walkers[100].y
  end,
  -- Lua has no parts of lists: the items are copied.
  parts = function()
    local xs = {}
    for i = 1, 2000 do xs[i] = i end
    local total = 0
    for i = 1, 1900 do
      local part = table.move(xs, i, i + 99, 1, {})
      total = total + part[1] + part[#part] + #table.move(xs, 2, #xs - 1, 1, {})
    end
    return total
  end,
  -- A queue as Lua's handbook has it: with the places of its two ends.
  queue = function()
    local q, first, last, total = {}, 1, 20000, 0
    for i = 1, 20000 do q[i] = i end
    for _ = 1, 40000 do
      local x = q[first]
      q[first] = nil
      first = first + 1
      last = last + 1
      q[last] = x + 1
      total = total + x
    end
    return total
  end,
  stack = function()
    local s, total = {1, 2, 3}, 0
    for _ = 1, 20000 do
      s[#s + 1] = total
      total = total + #s
    end
    for _ = 1, 20000 do
      total = total + s[#s]
      s[#s] = nil
      s[#s + 1] = total
      s[#s] = nil
    end
    return total
  end,
  text = function()
    local words = {}
    for i = 1, 20000 do words[#words + 1] = "w" .. i % 97 end
    local total = 0
    for _, w in ipairs(words) do
      if w:sub(1, 2) == "w1" then total = total + #w end
    end
    return #table.concat(words, " ") + total
  end,
}

local kernel = kernels[arg[1]]
local start = os.clock()
kernel()
print((os.clock() - start) * 1000)

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
}

local kernel = kernels[arg[1]]
local start = os.clock()
kernel()
print((os.clock() - start) * 1000)

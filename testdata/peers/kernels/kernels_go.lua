-- The kernels for a Lua engine with the host functions reach, ahead and turn.
local sin, cos, rad = math.sin, math.cos, math.pi / 180
local reach, ahead, turn = reach, ahead, turn
function calls()
  local function fib(n)
    if n < 2 then return n end
    return fib(n - 1) + fib(n - 2)
  end
  return fib(30)
end
function arithmetic()
  local x = 1.0
  for i = 1, 10000000 do x = x * 1.0000001 + i * 0.5 end
  return x
end
function choices()
  local x, high = 0.3, 0
  for _ = 1, 5000000 do
    x = 3.99 * x * (1 - x)
    if x > 0.5 then high = high + 1 else high = high - 1 end
  end
  return high
end
function points()
  for i = 1, 1000000 do
    local a = i * 0.36
    reach(50 * cos(a * rad), 50 * sin(a * rad))
  end
end
function dragon()
  local function fold(n, side)
    if n == 0 then
      ahead(0.1)
      return
    end
    fold(n - 1, 90)
    turn(side)
    fold(n - 1, -90)
  end
  fold(20, 90)
end

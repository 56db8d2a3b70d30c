// The kernels for an ECMAScript engine with the host functions reach, ahead and turn.
var rad = Math.PI / 180;
var sin = Math.sin, cos = Math.cos;
function calls() {
  function fib(n) { if (n < 2) { return n; } return fib(n - 1) + fib(n - 2); }
  return fib(30);
}
function arithmetic() {
  var x = 1.0;
  for (var i = 1; i <= 10000000; i++) { x = x * 1.0000001 + i * 0.5; }
  return x;
}
function choices() {
  var x = 0.3, high = 0;
  for (var i = 0; i < 5000000; i++) {
    x = 3.99 * x * (1 - x);
    if (x > 0.5) { high = high + 1; } else { high = high - 1; }
  }
  return high;
}
function points() {
  for (var i = 1; i <= 1000000; i++) {
    var a = i * 0.36;
    reach(50 * cos(a * rad), 50 * sin(a * rad));
  }
}
function dragon() {
  function fold(n, side) {
    if (n === 0) { ahead(0.1); return; }
    fold(n - 1, 90);
    turn(side);
    fold(n - 1, -90);
  }
  fold(20, 90);
}

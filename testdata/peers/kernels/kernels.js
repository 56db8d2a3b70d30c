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
function records() {
  var walkers = [];
  for (var i = 1; i <= 100; i++) { walkers.push({x: 0, y: 0, step: i}); }
  for (var n = 0; n < 5000; n++) {
    for (var j = 0; j < walkers.length; j++) {
      var w = walkers[j], x = w.x;
      w.x += w.step;
      w.y -= x / 2;
    }
  }
  return walkers[99].y;
}
function parts() {
  var xs = [], total = 0;
  for (var i = 1; i <= 2000; i++) { xs.push(i); }
  for (var j = 0; j < 1900; j++) {
    var part = xs.slice(j, j + 100);
    total += part[0] + part[part.length - 1] + xs.slice(1, -1).length;
  }
  return total;
}
function queue() {
  var q = [], first = 0, total = 0;
  for (var i = 1; i <= 20000; i++) { q.push(i); }
  for (var n = 0; n < 40000; n++) {
    var x = q[first];
    q[first++] = undefined;
    q.push(x + 1);
    total += x;
  }
  return total;
}
function stack() {
  var s = [1, 2, 3], total = 0;
  for (var i = 0; i < 20000; i++) { s.push(total); total += s.length; }
  for (var j = 0; j < 20000; j++) { total += s.pop(); s.push(total); s.pop(); }
  return total;
}
function text() {
  var words = [], total = 0;
  for (var i = 1; i <= 20000; i++) { words.push("w" + i % 97); }
  for (var j = 0; j < words.length; j++) {
    if (words[j].slice(0, 2) === "w1") { total += words[j].length; }
  }
  return words.join(" ").length + total;
}

"""The kernels of runtime/eval/testdata/kernels for CPython: one as argument,
its time in milliseconds comes back. Reading the file is left out."""
import sys
import time
from collections import deque
from math import cos, pi, sin

rad = pi / 180
sys.setrecursionlimit(10000)


class Stylus:
    x = y = h = 0.0


def reach(x, y):
    Stylus.x = x
    Stylus.y = y


def ahead(d):
    Stylus.x += d


def turn(a):
    Stylus.h += a


def calls():
    def fib(n):
        if n < 2:
            return n
        return fib(n - 1) + fib(n - 2)

    fib(30)


def arithmetic():
    x = 1.0
    for i in range(1, 10000001):
        x = x * 1.0000001 + i * 0.5


def choices():
    x, high = 0.3, 0
    for _ in range(5000000):
        x = 3.99 * x * (1 - x)
        if x > 0.5:
            high += 1
        else:
            high -= 1


def points():
    for i in range(1, 1000001):
        a = i * 0.36
        reach(50 * cos(a * rad), 50 * sin(a * rad))


def dragon():
    def fold(n, side):
        if n == 0:
            ahead(0.1)
            return
        fold(n - 1, 90)
        turn(side)
        fold(n - 1, -90)

    fold(20, 90)


def records():
    walkers = [{"x": 0, "y": 0, "step": i} for i in range(1, 101)]
    for _ in range(5000):
        for w in walkers:
            x = w["x"]
            w["x"] += w["step"]
            w["y"] -= x / 2


def parts():
    xs = list(range(1, 2001))
    total = 0
    for i in range(1900):
        part = xs[i:i + 100]
        total += part[0] + part[-1] + len(xs[1:-1])


def queue():
    q = deque(range(1, 20001))
    total = 0
    for _ in range(40000):
        x = q.popleft()
        q.append(x + 1)
        total += x


def stack():
    s, total = [1, 2, 3], 0
    for _ in range(20000):
        s.append(total)
        total += len(s)
    for _ in range(20000):
        total += s.pop()
        s.append(total)
        s.pop()


def text():
    words = []
    for i in range(1, 20001):
        words.append(f"w{i % 97}")
    total = 0
    for w in words:
        if w[:2] == "w1":
            total += len(w)
    return len(" ".join(words)) + total


kernel = globals()[sys.argv[1]]
start = time.process_time()
kernel()
print((time.process_time() - start) * 1000)

"""The kernels of runtime/eval/testdata/kernels for CPython: one as argument,
its time in milliseconds comes back. Reading the file is left out."""
import sys
import time
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


kernel = {"calls": calls, "arithmetic": arithmetic, "choices": choices, "points": points, "dragon": dragon}[sys.argv[1]]
start = time.process_time()
kernel()
print((time.process_time() - start) * 1000)

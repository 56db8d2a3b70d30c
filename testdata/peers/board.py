#!/usr/bin/env python3
"""A small motion board on a pseudo-terminal, which shares nothing with wend.

It prints the name of its port, takes lines, moves at the speed it is told, without
running up and down, and writes where its motors went, one "x y" a line, in machine
mm. What it understands is what wend sends: interoperability data, from memory, no
source.

    board.py TRACE [--refuse N,N] [--lose N,N] [--double N,N] [--late S] [--reset-after S]

--refuse answers those lines that move (from 0) with an error, --lose does not answer
them, --double answers them twice; --late has all answers come up to so many seconds
late, --reset-after starts the board anew while it runs.
"""
import argparse, os, pty, random, re, select, time, tty

p = argparse.ArgumentParser()
p.add_argument("trace")
for fault in ("--refuse", "--lose", "--double"):
    p.add_argument(fault, default=set(), type=lambda text: {int(n) for n in text.split(",") if n})
p.add_argument("--late", type=float, default=0)
p.add_argument("--reset-after", type=float, default=0)
o = p.parse_args()
near, far = pty.openpty()
tty.setraw(far)
print("board", os.ttyname(far), flush=True)
trace = open(o.trace, "w", buffering=1)
SETTINGS = {3: 0, 10: 3, 11: 0.05, 13: 0, 20: 0, 21: 0, 22: 0, 100: 100, 101: 100,
            110: 3600, 111: 3600, 120: 400, 121: 400, 130: 150, 131: 110}
rng, due = random.Random(1), []  # answers: (time, bytes), in order


def say(text):
    when = time.monotonic() + o.late * rng.random()
    due.append((max(when, due[-1][0] if due else 0), (text + "\r\n").encode()))


class Board:
    def __init__(self):
        self.at, self.moves = [0.0, 0.0], 0
        self.start()

    def start(self):
        self.queue, self.waiting, self.line = [], [], b""
        self.offset, self.feed, self.held, self.reports = [0.0, 0.0], 0.0, False, 0
        say("")
        say("Peer board [in python]")

    def state(self):
        return "Hold:0" if self.held else "Run" if self.queue else "Idle"

    def report(self):
        x, y = self.at
        text = "<%s|MPos:%.3f,%.3f,0.000|Bf:%d,%d|FS:%d,0" % (
            self.state(), x, y, 15 - len(self.queue), 127 - sum(len(l) + 1 for l in self.waiting) - len(self.line), self.feed if self.state() == "Run" else 0)
        self.reports += 1
        if self.reports % 10 == 1:
            text += "|WCO:%.3f,%.3f,0.000" % tuple(self.offset)
        say(text + ">")

    def hear(self, data):
        for b in data:
            c = bytes([b])
            if c == b"?": self.report()
            elif c == b"!": self.held = bool(self.queue)
            elif c == b"~": self.held = False
            elif b == 0x18: self.start()
            elif c == b"\n":
                self.waiting.append(self.line.decode("ascii"))
                self.line = b""
            elif c != b"\r": self.line += c

    def work(self):
        while self.waiting and (len(self.queue) < 15 or not self.waiting[0].startswith("G1X")):
            self.obey(self.waiting.pop(0))

    def obey(self, line):
        if line == "$$":
            for n, v in SETTINGS.items(): say("$%d=%.3f" % (n, v))
        elif line == "$N":
            say("$N0="); say("$N1=")
        elif line == "$G":
            say("[GC:G1 G17 G21 G90 G94 F1]")
        elif line in ("$X", "G21G90G94G17", "G1F1", ""):
            pass
        elif m := re.fullmatch(r"G92X(-?[\d.]+)Y(-?[\d.]+)", line):
            end = self.queue[-1][0] if self.queue else self.at
            self.offset = [end[i] - float(m[i + 1]) for i in (0, 1)]
            self.reports = 0
        elif m := re.fullmatch(r"G1X(-?[\d.]+)Y(-?[\d.]+)F(\d+)", line):
            n, self.moves = self.moves, self.moves + 1
            if n in o.refuse:
                return say("error:20")
            self.queue.append(([float(m[i + 1]) + self.offset[i] for i in (0, 1)], float(m[3])))
            for _ in range(1 + (n in o.double) - (n in o.lose)):
                say("ok")
            return
        else:
            return say("error:20")
        say("ok")

    def move(self, seconds):
        while self.queue and not self.held and seconds > 0:
            to, self.feed = self.queue[0]
            left = ((to[0] - self.at[0]) ** 2 + (to[1] - self.at[1]) ** 2) ** 0.5
            way = self.feed / 60 * seconds
            if way >= left:
                self.at, seconds = list(to), seconds - left / (self.feed / 60)
                self.queue.pop(0)
                self.write()
            else:
                self.at = [self.at[i] + (to[i] - self.at[i]) * way / left for i in (0, 1)]
                seconds = 0
                self.write()

    def write(self):
        print("%.4f %.4f" % (self.at[0] - self.offset[0], self.at[1] - self.offset[1]), file=trace)


board, last, began = Board(), time.monotonic(), time.monotonic()
while True:
    if select.select([near], [], [], 0.002)[0]:
        board.hear(os.read(near, 4096))
    now = time.monotonic()
    board.move(now - last)
    last = now
    board.work()
    if o.reset_after and now - began > o.reset_after:
        o.reset_after = 0
        board.start()
    while due and due[0][0] <= now:
        os.write(near, due.pop(0)[1])

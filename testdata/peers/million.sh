#!/bin/sh
# Builds a million pieces (../million.wend: source to picture and instructions,
# checked and read back) beside the dragon kernel under Lua 5.4 (C), which turns
# and walks as often and keeps nothing, one after the other and round by round,
# and prints the medians in milliseconds, their ratio, and the memory a piece.
# With a busy machine look at the time of the processor: what is shared between
# two cores counts twice there.
#
#   ./million.sh [ROUNDS] [ORDER]     order 20 is a million pieces, 23 eight million
set -eu
cd "$(dirname "$0")"
rounds=${1:-5}
order=${2:-20}
for tool in lua5.4 python3; do
	command -v "$tool" >/dev/null || { echo "$tool is not installed (Debian: apt-get install lua5.4 python3)" >&2; exit 1; }
done
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
# wend is measured as it is built: with its profile.
go build -C ../.. -o "$folder/wend" ./cmd/wend
python3 - "$rounds" "$order" "$folder" <<'PYTHON'
import os, resource, statistics, subprocess, sys

rounds, order, folder = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
commands = {
    "lua": ["lua5.4", "kernels/kernels.lua", "dragon"],
    "wend": [folder + "/wend", "build", "../million.wend", "--set", f"order={order}", "--limits", "high", "--out", folder, "--quiet"],
}
import time
wall, cpu, memory = {k: [] for k in commands}, {k: [] for k in commands}, {k: [] for k in commands}
for _ in range(rounds):
    for name, command in commands.items():
        begun = time.monotonic()
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
        _, status, used = os.wait4(process.pid, 0)
        if status != 0:
            sys.exit(f"{name} failed")
        wall[name].append(1000 * (time.monotonic() - begun))
        cpu[name].append(1000 * (used.ru_utime + used.ru_stime))
        memory[name].append(used.ru_maxrss * 1024)
pieces = 2 ** order
share = pieces / 2 ** 20  # the kernel's order is 20
for title, kept in (("elapsed", wall), ("processor", cpu)):
    lua, wend = statistics.median(kept["lua"]) * share, statistics.median(kept["wend"])
    print(f"{title:10} lua {lua:8.0f} ms   wend {wend:8.0f} ms   {wend / lua:6.1f} times; best {min(kept['wend']) / min(kept['lua']) / share:.1f}")
print(f"{'memory':10} wend {statistics.median(memory['wend']) / pieces:.0f} bytes a piece")
PYTHON

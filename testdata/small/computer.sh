#!/bin/sh
# What a small computer has to do: the instructions that one core of the arm kind
# (ARMv6 with floating point) runs under an emulator, the memory that is in use at
# rest, and the size of the command by target. Instructions are counted, not time:
# so the figures hang neither on this machine nor on what else it does, and change
# by less than a hundredth from run to run. Needs Debian's qemu-user, gcc and
# python3.
#
#   testdata/small/computer.sh [TARGET ...]    targets as linux/arm64; without them five
set -eu
cd "$(dirname "$0")"
root=$(cd ../.. && pwd)
for tool in qemu-arm gcc python3; do
	command -v "$tool" >/dev/null || { echo "$tool is not installed (Debian: apt-get install qemu-user gcc python3)" >&2; exit 1; }
done
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
gcc -shared -fPIC -O2 -o "$folder/count.so" count.c
GOOS=linux GOARCH=arm GOARM=6 CGO_ENABLED=0 go build -C "$root" -o "$folder/wend" ./cmd/wend
cp "$root/examples/rosette.wend" "$root/examples/hilbert.wend" "$root/examples/specimen-brook.wend" "$folder"
cd "$folder"
# Nothing is remembered in the folders of whoever measures.
alone="env HOME=$folder XDG_STATE_HOME=$folder XDG_CONFIG_HOME=$folder GOMAXPROCS=1"

# One core: the collector of garbage has no other to run on.
count() {
	title=$1
	shift
	if ! $alone qemu-arm -plugin "$folder/count.so" "$folder/wend" "$@" >"$folder/out" 2>"$folder/counted"; then
		cat "$folder/counted" >&2
		exit 1
	fi
	awk -v title="$title" '/^instructions / { printf "%-48s %8.0f million instructions\n", title, $2 / 1e6 }' "$folder/counted"
}
count "start (--version)" --version </dev/null
count "check rosette.wend" check rosette.wend --quiet </dev/null
count "check specimen-brook.wend, a page of letters" check specimen-brook.wend --quiet </dev/null
count "build rosette.wend" build rosette.wend --quiet --out "$folder/built" </dev/null
count "build hilbert.wend" build hilbert.wend --quiet --out "$folder/built" </dev/null
count "send rosette.wend to the simulated machine" send rosette.wend --port sim --fast --armed --quiet </dev/null
printf 'begin 10, 10\nahead 20\n' >"$folder/two"
count "prompt, begin and one entry" live --plain <"$folder/two"
python3 -c 'print("begin 10, 10"); print("loop 20 { ahead 20; turn 90 }\n" * 20)' >"$folder/twenty"
count "prompt, begin and twenty entries of forty words" live --plain <"$folder/twenty"

# Memory of the command itself, built for this computer: of an emulated one the
# emulator's would count.
CGO_ENABLED=0 go build -C "$root" -o "$folder/here" ./cmd/wend
$alone python3 - "$folder/here" <<'PYTHON'
import subprocess, sys, time
process = subprocess.Popen([sys.argv[1], "live", "--plain"], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
process.stdin.write(b"begin 10, 10\nahead 20\n")
process.stdin.flush()
for _ in range(2):
    process.stdout.readline()
time.sleep(1)
for line in open(f"/proc/{process.pid}/status"):
    if line.startswith("VmRSS"):
        print(f"{'memory of the prompt at rest':48} {int(line.split()[1]) / 1024:8.1f} MiB, on this computer")
process.stdin.close()
process.wait()
PYTHON
for target in ${*:-linux/arm linux/arm64 linux/amd64 darwin/arm64 windows/amd64}; do
	GOOS=${target%/*} GOARCH=${target#*/} CGO_ENABLED=0 go build -C "$root" -o "$folder/target" ./cmd/wend
	GOOS=${target%/*} GOARCH=${target#*/} CGO_ENABLED=0 go build -C "$root" -ldflags '-s -w' -o "$folder/stripped" ./cmd/wend
	printf '%-48s %8.1f MB, %.1f without symbols\n' "size for $target" "$(stat -c %s "$folder/target" | awk '{ print $1 / 1e6 }')" "$(stat -c %s "$folder/stripped" | awk '{ print $1 / 1e6 }')"
done

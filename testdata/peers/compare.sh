#!/bin/sh
# Runs every kernel in every engine, one after another and round by round, so
# that a busy moment hits all alike, and prints medians in milliseconds and the
# ratio to Lua 5.4 (C), with geometric means.
#
#   ./compare.sh [ROUNDS] [ENGINES]
#
# Lua 5.4 must be installed, since all is compared with it; Python is left out
# where it is missing. The first table is what the evaluator is held to: a mean
# of at most 1.0. The second one has lists, records and text, which Lua, CPython
# and goja know too.
set -eu
cd "$(dirname "$0")"
if ! command -v lua5.4 >/dev/null; then
	echo "compare.sh: all is compared with Lua 5.4, and lua5.4 is not installed (apt-get install lua5.4)" >&2
	exit 1
fi
rounds=${1:-7}
engines=${2:-"lua cpython wend gopher-lua tengo starlark-go goja"}
old="calls arithmetic choices points dragon"
new="records parts queue stack text"
binary=$(mktemp)
results=$(mktemp)
trap 'rm -f "$binary" "$results"' EXIT
# wend is measured as it is built: with its profile.
go build -pgo=../../cmd/wend/default.pgo -o "$binary" .
measure() { # ENGINE KERNEL
	case $1 in
	lua) ms=$(lua5.4 kernels/kernels.lua "$2") ;;
	cpython) command -v python3 >/dev/null || return 0; ms=$(python3 kernels/kernels.py "$2") ;;
	*) ms=$("$binary" "$1" "$2") ;;
	esac
	echo "$1 $2 $ms" >>"$results"
}
for round in $(seq "$rounds"); do
	for engine in $engines; do
		for kernel in $old; do measure "$engine" "$kernel"; done
		case $engine in
		lua | cpython | wend | goja) for kernel in $new; do measure "$engine" "$kernel"; done ;;
		esac
	done
done
table() { # KERNELS ROW TITLE
	sort -k1,1 -k2,2 -k3,3g "$results" | awk -v kernels="$1" -v engines="$engines" -v row="$2" -v title="$3" '
	{ key = $1 " " $2; time[key, ++count[key]] = $3 } # sorted: the first is the best
	function typical(key,  n) {
		if (row == "best") return time[key, 1]
		n = count[key]
		return (time[key, int((n + 1) / 2)] + time[key, int((n + 2) / 2)]) / 2
	}
	END {
		ks = split(kernels, k, " "); es = split(engines, e, " ")
		printf "%-16s", title; for (i = 1; i <= ks; i++) printf "%12s", k[i]; printf "%14s\n", "mean ratio"
		for (j = 1; j <= es; j++) {
			if (!count[e[j] " " k[1]]) continue
			printf "%-16s", e[j]; sum = 0
			for (i = 1; i <= ks; i++) {
				m = typical(e[j] " " k[i]); base = typical("lua " k[i])
				printf "%12.1f", m
				if (base > 0 && m > 0) sum += log(m / base)
			}
			printf "%14.2f\n", exp(sum / ks)
		}
		print ""
	}'
}
table "$old" median "ms, medians"
table "$old" best "best of rounds"
table "$new" median "ms, medians"
table "$new" best "best of rounds"

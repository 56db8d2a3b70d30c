#!/bin/sh
# Runs every kernel in every engine, one after another and round by round, so
# that a busy moment hits all alike, and prints medians in milliseconds and the
# ratio to Lua 5.4 (C), with geometric means.
#
#   ./compare.sh [ROUNDS] [ENGINES]
#
# Engines that are not installed (lua5.4, python3) are left out.
set -eu
cd "$(dirname "$0")"
rounds=${1:-7}
engines=${2:-"lua cpython wend gopher-lua tengo starlark-go goja"}
kernels="calls arithmetic choices points dragon"
binary=$(mktemp)
results=$(mktemp)
trap 'rm -f "$binary" "$results"' EXIT
# wend is measured as it is built: with its profile.
go build -pgo=../../cmd/wend/default.pgo -o "$binary" .
for round in $(seq "$rounds"); do
	for kernel in $kernels; do
		for engine in $engines; do
			case $engine in
			lua) command -v lua5.4 >/dev/null || continue; ms=$(lua5.4 kernels/kernels.lua "$kernel") ;;
			cpython) command -v python3 >/dev/null || continue; ms=$(python3 kernels/kernels.py "$kernel") ;;
			*) ms=$("$binary" "$engine" "$kernel") ;;
			esac
			echo "$engine $kernel $ms" >>"$results"
		done
	done
done
sort -k1,1 -k2,2 -k3,3g "$results" | awk -v kernels="$kernels" -v engines="$engines" '
	{ key = $1 " " $2; time[key, ++count[key]] = $3 }
	function best(key) { return time[key, 1] } # sorted above
	function median(key,  n) { n = count[key]; return (time[key, int((n + 1) / 2)] + time[key, int((n + 2) / 2)]) / 2 }
	END {
		ks = split(kernels, k, " "); es = split(engines, e, " ")
		printf "%-12s", "ms"; for (i = 1; i <= ks; i++) printf "%12s", k[i]; printf "%14s\n", "mean ratio"
		for (j = 1; j <= es; j++) {
			if (!count[e[j] " " k[1]]) continue
			printf "%-12s", e[j]; sum = 0
			for (i = 1; i <= ks; i++) {
				m = median(e[j] " " k[i]); base = median("lua " k[i])
				printf "%12.1f", m
				if (base > 0) sum += log(m / base)
			}
			printf "%14.2f\n", exp(sum / ks)
		}
		printf "\n%-12s\n", "best of the rounds"
		for (j = 1; j <= es; j++) {
			if (!count[e[j] " " k[1]]) continue
			printf "%-12s", e[j]; sum = 0
			for (i = 1; i <= ks; i++) {
				m = best(e[j] " " k[i]); base = best("lua " k[i])
				printf "%12.1f", m
				if (base > 0) sum += log(m / base)
			}
			printf "%14.2f\n", exp(sum / ks)
		}
	}'

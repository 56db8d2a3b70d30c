package eval_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/eval"
)

// Eight copied items count as an operation (see DefaultLimits), so a program
// that copies its list in every pass needs far more operations than one that
// is linear: with 4,000 passes at least 4,000 * 2,000 / 8 = a million.
func TestListsThatAreOnlyLookedAtAreNotCopied(t *testing.T) {
	programs := map[string]string{
		"appended after it was passed to a fn": `fn last(xs) = xs[-1]
let xs = [1]
loop %d { xs += [last(xs) + 1] }
note xs.length`,
		"changed after it was passed to a fn": `fn item(xs, i) = xs[i]
let xs = 1..%[1]d
loop i in 1..%[1]d { xs[i] = item(xs, i) + 1 }
note xs.length`,
		"passed on from fn to fn": `fn inner(xs, i) = xs[i]
fn outer(xs, i) = inner(xs, i)
let xs = 1..%[1]d
loop i in 1..%[1]d { xs[i] = outer(xs, i) + 1 }
note xs.length`,
		"a queue that a fn looks at": `fn head(xs) = xs[1]
let xs = 1..%[1]d
loop %[1]d { let h = head(xs); xs = xs[2..-1]; xs += [h] }
note xs.length`,
		"looped over in between": `let xs = 1..%[1]d
loop i in 1..%[1]d {
  loop x in xs { if x > 0 { break } }
  xs[i] = i + 1
}
note xs.length`,
		"a list in a record, looped over": `let r = {items: 1..%[1]d}
loop i in 1..%[1]d {
  loop x in r.items { break }
  r.items[i] = i + 1
}
note r.items.length`,
		"read by a figure": `figure mark(xs, i) { ahead xs[i] / 1000 }
let xs = 1..%[1]d
loop i in 1..%[1]d { mark(xs, i); xs[i] = 1 }
note xs.length`,
		"read in a path body": `let xs = 1..%[1]d
loop i in 1..%[1]d {
  draw path { ahead xs[i] / 100000 }
  xs[i] = 1
}
note xs.length`,
		"read by a function value": `let f = fn(xs, i) = xs[i]
let xs = 1..%[1]d
loop i in 1..%[1]d { xs[i] = (f)(xs, i) + 1 }
note xs.length`,
		"read by a formula": `let xs = 1..%[1]d
loop i in 1..%[1]d {
  let c = curve t in 0..1 = (xs[1] * t / 1000, 0)
  xs[i] = 1
}
note xs.length`,
	}
	for name, text := range programs {
		t.Run(name, func(t *testing.T) {
			const passes = 4000
			given := options()
			given.Limits = eval.DefaultLimits()
			given.Limits.Operations = 100 * passes
			drawn, diags := eval.Run(context.Background(), compiled(t, fmt.Sprintf(text, passes)), given)
			require.False(t, diags.Failed(), "%v", diags)
			require.Contains(t, []string{"4000", "4001"}, said(drawn))
		})
	}
}

// What is lent stays as it was for whoever else holds it.
func TestListsThatWereLentAreStillValues(t *testing.T) {
	for name, c := range map[string]struct{ text, said string }{
		"a parameter that is returned": {`fn same(xs) = xs
let a = [1, 2]
let b = same(a)
b[1] = 9
a[2] = 7
note a
note b`, "[1, 7]\n[9, 2]"},
		"a parameter that is returned by a statement": {`fn same(xs) { return xs }
let a = [1, 2]
let b = same(a)
b[1] = 9
note a`, "[1, 2]"},
		"a parameter that a variable keeps": {`fn changed(xs) { let ys = xs; ys[1] = 9; return ys }
let a = [1, 2]
note changed(a)
note a`, "[9, 2]\n[1, 2]"},
		"a parameter that is changed": {`fn changed(xs) { xs[1] = 9; xs += [3]; return xs }
let a = [1, 2]
note changed(a)
note a`, "[9, 2, 3]\n[1, 2]"},
		"a changed parameter of a function value": {`let f = fn(xs) { xs[1] = 9; return xs }
let a = [[1, 2], [3]]
note map(a, f)
note (f)(a[1])
note a`, "[[9, 2], [9]]\n[9, 2]\n[[1, 2], [3]]"},
		"an item that is returned from a loop": {`fn first(xss) { loop xs in xss { return xs }; return [] }
let a = [[1], [2]]
let b = first(a)
b[1] = 9
note a`, "[[1], [2]]"},
		"a part of a parameter": {`fn held(r) = r.items
let r = {items: [1, 2]}
let b = held(r)
b[1] = 9
r.items[2] = 8
note r
note b`, "{items: [1, 8]}\n[9, 2]"},
		"a parameter in a list": {`fn twice(xs) = [xs, xs]
let a = [1]
let b = twice(a)
b[1][1] = 5
a += [2]
note b
note a`, "[[5], [1]]\n[1, 2]"},
		"a parameter that a function value keeps": {`fn reader(xs) = fn(i) = xs[i]
let a = [1, 2]
let read = reader(a)
a[1] = 9
note (read)(1)`, "1"},
		"a default": {`let base = [1, 2]
fn changed(xs = base) { xs[1] = 9; return xs }
note changed()
note base`, "[9, 2]\n[1, 2]"},
		"a list that its loop changes": {`let xs = [1, 2]
loop i, x in xs { xs[2] = 9; note x }
note xs`, "1\n2\n[1, 9]"},
		"a list in a record that its loop changes": {`let r = {items: [1, 2]}
loop x in r.items { r.items[2] = 9; r.items += [5]; note x }
note r`, "1\n2\n{items: [1, 9, 5, 5]}"},
		"a list that an inner loop changes": {`let xs = [1, 2]
loop x in xs { loop 2 { xs[2] += 1 }; note x }
note xs`, "1\n2\n[1, 6]"},
		"a captured list that a path body keeps": {`let xs = [1, 2]
draw path { let ys = xs; ys[1] = 5; ahead ys[1] }
note xs`, "[1, 2]"},
		"a parameter that a choice gives": {`fn one(a, b) = if a.length > 1 { a } else { b }
let a = [1, 2]
let b = one(a, [3])
b[1] = 9
note a`, "[1, 2]"},
		"a library word that gives back what it was given": {`fn same(xs) = fill(2, xs)
let a = [1]
let b = same(a)
b[1][1] = 4
note a
note b`, "[1]\n[[4], [1]]"},
	} {
		t.Run(name, func(t *testing.T) { require.Equal(t, c.said, said(run(t, c.text))) })
	}
}

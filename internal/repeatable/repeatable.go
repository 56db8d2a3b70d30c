// Package repeatable makes property tests try the same cases in every run, so that
// what passed once passes again. Tests import it for this effect alone; other cases
// are tried by -rapid.seed.
package repeatable

import (
	"errors"
	"flag"

	_ "pgregory.net/rapid" // defines the flags
)

func init() {
	if err := errors.Join(flag.Set("rapid.seed", "1"), flag.Set("rapid.nofailfile", "true")); err != nil {
		panic(err)
	}
}

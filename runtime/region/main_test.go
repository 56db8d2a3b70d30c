package region_test

import (
	"errors"
	"flag"
	"os"
	"testing"
)

// TestMain fixes the seed of the property tests: a run tests the same cases
// each time. Other cases are tried by -rapid.seed.
func TestMain(m *testing.M) {
	if err := errors.Join(flag.Set("rapid.seed", "1"), flag.Set("rapid.nofailfile", "true")); err != nil {
		panic(err)
	}
	os.Exit(m.Run())
}

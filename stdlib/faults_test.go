package stdlib_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
)

// raised are the codes of all faults that the package gives.
func raised(t *testing.T) map[diag.Code]bool {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	code := regexp.MustCompile(`(?:Code: |code = )"([a-z-]+)"`)
	codes := map[diag.Code]bool{}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		for _, found := range code.FindAllStringSubmatch(string(text), -1) {
			codes[diag.Code(found[1])] = true
		}
	}
	require.Greater(t, len(codes), 15)
	return codes
}

func TestThePageOfEveryFaultShowsItAndItsCure(t *testing.T) {
	for code := range raised(t) {
		t.Run(string(code), func(t *testing.T) {
			page, ok := diag.Lookup(code)
			require.True(t, ok)
			if page.Subject == diag.Outside {
				return // its examples are told, not run
			}
			_, list := drawn(t, "bad", page.Bad, 0.05)
			require.Len(t, list, 1)
			require.Equal(t, code, list[0].Code)
			require.Equal(t, page.Severity, list[0].Severity)
			_, list = drawn(t, "good", page.Good, 0.05)
			require.Empty(t, list)
		})
	}
}

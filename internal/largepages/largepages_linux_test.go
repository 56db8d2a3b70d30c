package largepages_test

import (
	"os"
	"regexp"
	"runtime"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/internal/largepages"
)

// The kernel says of each area of memory what was asked for it (proc_pid_smaps(5),
// VmFlags: hg is "huge page advise flag").
func TestTheHeapToComeIsAskedForInLargePages(t *testing.T) {
	advised := func() (kB int) {
		areas, err := os.ReadFile("/proc/self/smaps")
		require.NoError(t, err)
		for _, area := range regexp.MustCompile(`(?s)\nSize: +(\d+) kB.*?\nVmFlags:([^\n]*)`).FindAllStringSubmatch(string(areas), -1) {
			if regexp.MustCompile(`\bhg\b`).MatchString(area[2]) {
				size, err := strconv.Atoi(area[1])
				require.NoError(t, err)
				kB += size
			}
		}
		return kB
	}
	const bytes = 64 << 20
	before := advised()
	largepages.Ahead(bytes)
	wanted := bytes / 1024
	if _, err := os.Stat("/sys/kernel/mm/transparent_hugepage"); err != nil {
		wanted = 0 // a kernel without them
	}
	require.GreaterOrEqual(t, advised()-before, wanted)
	// Once it is free, it is not asked for again.
	runtime.GC()
	asked := advised()
	largepages.Ahead(bytes / 2)
	require.Equal(t, asked, advised())
}

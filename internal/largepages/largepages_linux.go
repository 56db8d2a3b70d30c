// Package largepages asks the system for large pages where the heap will grow. To
// touch a page for the first time costs some microseconds, whether it has 4 kB or
// 2 MB, and a large drawing would touch tens of thousands of small ones.
package largepages

import (
	"runtime"
	"syscall"
)

// block is how much is asked for at once. What lies where the heap was before is
// cleared when it is asked for, so a block is not much larger than a page.
const block = 4 << 20

// Ahead makes so many bytes of the heap to come lie in large pages, where the
// system gives them to who asks (transparent huge pages). They are free once
// garbage was collected. Nothing is asked for where the heap has as much that is
// free already.
func Ahead(bytes int) {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	if uint64(bytes) <= m.HeapIdle {
		return
	}
	blocks := make([][]byte, (bytes+block-1)/block)
	for i := range blocks {
		blocks[i] = make([]byte, block)
		if syscall.Madvise(blocks[i], syscall.MADV_HUGEPAGE) != nil {
			return // a system without them; pages are then small, as they would be
		}
	}
}

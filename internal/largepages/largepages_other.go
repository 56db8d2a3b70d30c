//go:build !linux

// Package largepages asks the system for large pages where the heap will grow, on
// Linux. Elsewhere it does nothing.
package largepages

// Ahead does nothing here.
func Ahead(bytes int) {}

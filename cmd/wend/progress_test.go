package main

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Into a pipe goes a line now and then, and none of work that is done before.
func TestProgressIntoAPipeIsALineNowAndThen(t *testing.T) {
	var out bytes.Buffer
	clock := time.Unix(0, 0)
	c := console{stderr: &out, now: func() time.Time { return clock }}
	p := c.progress(&runFlags{}, "the picture evolves")
	for i := range 100 {
		p.tell(i, 100)
		clock = clock.Add(500 * time.Millisecond)
	}
	p.clear()
	require.Equal(t, "the picture evolves: 20 %\nthe picture evolves: 40 %\nthe picture evolves: 60 %\nthe picture evolves: 80 %\n", out.String())

	out.Reset()
	for _, silent := range []runFlags{{quiet: true}, {json: true}} {
		p := c.progress(&silent, "the picture evolves")
		clock = clock.Add(time.Hour)
		p.tell(50, 100)
		p.clear()
	}
	require.Empty(t, out.String())
}

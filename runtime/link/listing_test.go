package link

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A setting whose number was garbled on the way is missing, which is not the
// same as being 0.
func TestListingsAgreeOnlyWhereBothNameASetting(t *testing.T) {
	one := settings{numbers: map[int]float64{3: 0, 100: 80}}
	require.True(t, one.agree(settings{numbers: map[int]float64{3: 0, 100: 80}}))
	require.False(t, one.agree(settings{numbers: map[int]float64{2: 0, 100: 80}}))
	require.False(t, settings{numbers: map[int]float64{2: 0, 100: 80}}.agree(one))
}

package assist_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNumbersSayWhatTheyMeasure(t *testing.T) {
	d, _ := read("let n = 4\nahead 40\nturn -30deg\narc 2cm, 180\nloop n { back 3 + n }\n", nil)
	var all []string
	for _, m := range d.Measured() {
		all = append(all, fmt.Sprint(m.Span.Text(), " ", m.Value, " ", m.Unit, " ", m.Written))
	}
	require.Equal(t, []string{
		"4 4 a plain number ", "40 40 a length ", "-30deg -30 an angle deg", "2cm 2 a length cm", "180 180 an angle ", "3 3 a plain number ",
	}, all)
}

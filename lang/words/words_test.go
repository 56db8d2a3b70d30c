package words_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/words"
)

func TestAMeaningIsWrittenWithThePersonsOwnNumber(t *testing.T) {
	for _, c := range []struct {
		phrase string
		args   []string
		want   string
		sure   bool
	}{
		{"forward", []string{"50"}, "ahead 50", true},
		{"Vorwärts", []string{"50"}, "ahead 50", true},
		{"right", []string{"90"}, "turn -90", true},
		{"right", []string{"-90"}, "turn 90", true},
		{"right", []string{"a + b"}, "turn -(a + b)", true},
		{"turn left", nil, "turn 90", false},
		{"go to", []string{"p"}, "reach p", false},
		{"go to", []string{"20", "30"}, "reach 20, 30", false},
		{"rectangle", []string{"40", "20"}, "loop 2 { ahead 40; turn 90; ahead 20; turn 90 }", false},
	} {
		text, sure := words.Statement(c.phrase).Fill(c.args)
		require.Equal(t, c.want, text, c.phrase)
		require.Equal(t, c.sure, sure, c.phrase)
	}
	require.Nil(t, words.Statement("ahead"))
}

func TestOrdersUnitsAndNumbersAreKnownInSixLanguages(t *testing.T) {
	for word, does := range map[string]string{"undo": "/forget", "Hilfe": "/help", "sauve": "/save", "salir": "/leave", "pomoc": "/help", "opslaan": "/save"} {
		order, ok := words.OrderFor(word)
		require.True(t, ok, word)
		require.Equal(t, does, order.Does)
	}
	for word, number := range map[string]string{"ten": "10", "zehn": "10", "dix": "10", "diez": "10", "dziesięć": "10", "tien": "10"} {
		n, ok := words.Number(word)
		require.True(t, ok, word)
		require.Equal(t, number, n)
	}
	unit, ok := words.Unit("Zentimeter")
	require.True(t, ok)
	require.Equal(t, "cm", unit)
}

// A number where a text is wanted becomes one: nothing else could stand there.
func TestANumberIsWrittenAsATextWhereOneIsWanted(t *testing.T) {
	for _, c := range [][3]string{{"wait", "2", `pause "2"`}, {"wait", `"look"`, `pause "look"`}, {"write", "5", `draw text("5")`}, {"say", "3", "note 3"}, {"circle", "5", "draw curves.circle(5)"}} {
		text, _ := words.Statement(c[0]).Fill([]string{c[1]})
		require.Equal(t, c[2], text)
	}
}

func TestWordsWrittenTogetherAreReadApart(t *testing.T) {
	for joined, apart := range map[string]string{"turnLeft": "turn left", "turn_left": "turn left", "drawacircle": "draw a circle", "gehvor": "geh vor", "LiftUp": "lift up"} {
		require.NotNil(t, words.Statement(apart), apart)
		require.Same(t, words.Statement(apart), words.Statement(joined), joined)
	}
	require.Nil(t, words.Statement("turnip"))
	n, ok := words.NumberOf("twenty", "five")
	require.True(t, ok)
	require.Equal(t, "25", n)
	_, ok = words.NumberOf("five", "twenty")
	require.False(t, ok)
}

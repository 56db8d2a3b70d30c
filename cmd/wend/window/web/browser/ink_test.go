package browser

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// scribble has bends, crossings, ways back and pieces far shorter than a pixel.
const scribble = `begin page.center
loop i in 1..4000 {
  ahead 0.5 + 0.5 * sin(i * 7)
  turn 140 * sin(i * i)
}
turn 180
ahead 60
turn 180
ahead 60
`

// The ink is what the browser's own strokes give: the whole line that the page
// sets out for printing, stroked as one path, is held against the pixels of the
// sheet.
func TestTheInkIsThatOfTheBrowsersStrokes(t *testing.T) {
	_, b := opensReally(t, map[string]string{"scribble.wend": scribble})
	differ := value[[]float64](b, `(() => {
		dispatchEvent(new Event("beforeprint"));
		const svg = document.querySelector("#print svg");
		const ink = document.querySelector("canvas.ink");
		const sheet = getComputedStyle(document.getElementById("sheet"));
		const at = (name) => parseFloat(sheet.getPropertyValue(name)) * devicePixelRatio;
		const k = (at("--paper-right") - at("--paper-left")) / parseFloat(svg.getAttribute("width"));
		const canvas = document.createElement("canvas");
		canvas.width = ink.width;
		canvas.height = ink.height;
		const ctx = canvas.getContext("2d");
		ctx.setTransform(k, 0, 0, k, at("--paper-left"), at("--paper-top"));
		ctx.lineCap = ctx.lineJoin = "round";
		ctx.lineWidth = Math.max(parseFloat(svg.querySelector("path").getAttribute("stroke-width")), 1.1 * devicePixelRatio / k);
		ctx.stroke(new Path2D(svg.querySelector("path").getAttribute("d")));
		const a = ink.getContext("2d").getImageData(0, 0, ink.width, ink.height).data;
		const b = ctx.getImageData(0, 0, ink.width, ink.height).data;
		let covered = 0, sum = 0, far = 0;
		for (let i = 3; i < a.length; i += 4) {
			if (!a[i] && !b[i]) continue;
			covered++;
			sum += Math.abs(a[i] - b[i]);
			if (Math.abs(a[i] - b[i]) > 96) far++;
		}
		return [covered, sum / covered, far / covered];
	})()`)
	t.Logf("%.0f pixels, off by %.2f of 255 on average, %.4f %% of them by more than 96", differ[0], differ[1], 100*differ[2])
	require.Greater(t, differ[0], 5000.0)
	require.Less(t, differ[1], 8.0)
	require.Less(t, differ[2], 0.004)
}

//go:build !js

package tone

import (
	"image/gif"
	"image/jpeg"

	"golang.org/x/image/webp"
)

// What the engine in a browser has no files of, and so no decoders for: a browser
// would fetch them in vain.
var (
	jpegs = format{"JPEG", begins("\xff\xd8\xff"), jpeg.DecodeConfig, jpeg.Decode, needsOfJPEG, orientationOfJPEG}
	gifs  = format{"GIF", begins("GIF8"), gif.DecodeConfig, gif.Decode, needsOfGIF, nil}
	webPs = format{"WebP", startsWebP, webp.DecodeConfig, webp.Decode, needsOfWebP, orientationOfWebP}
)

package diag

// picturePages are the codes about pictures (raised by stdlib).
var picturePages = []Page{
	{
		Code: "image-kind", Message: "`{name}` is {what}, and cannot be read as a picture",
		Hint:    "save it as PNG or JPEG with any program for pictures, and name that file",
		Rule:    "Pictures are read from PNG, JPEG, GIF (its first frame) and WebP of one frame. What a file is, is told from what stands in it, whatever its name.",
		Subject: Outside, Bad: "image(\"cat.heic\")", Good: "image(\"cat.jpg\"), saved from the other",
	},
	{
		Code: "image-size", Message: "`{name}` says that it is {width} by {height} pixels",
		Hint:    "save it smaller: 4 million pixels are more than a line can show",
		Rule:    "A picture has at least one pixel, at most 120 million, and at most 65,536 in a row or column; and to decode it may take at most a gigabyte, which large pictures of sixteen bits and large progressive JPEGs can pass. That is judged by what the file says at its beginning, before anything is decoded, so that a small file cannot fill the memory.",
		Subject: Outside, Bad: "a PNG of 100,000 by 100,000 pixels", Good: "the same picture at 3,000 by 3,000",
	},
	{
		Code: "image-cut-off", Message: "`{name}` ends in the middle of the picture",
		Hint:    "it was not copied or saved to its end: do that again",
		Rule:    "A file that ends before its last pixel is not used in part: nobody could see where the drawing stops to be the picture.",
		Subject: Outside, Bad: "a JPEG of which only the first half was copied", Good: "the whole file",
	},
	{
		Code: "image-damaged", Message: "`{name}` begins like a {format} picture, and is not sound further on",
		Hint:    "open it in a program for pictures and save it again",
		Rule:    "What stands in the file does not fit together, so the picture in it cannot be decoded.",
		Subject: Outside, Bad: "a PNG with changed bytes in its middle", Good: "the picture as it was first saved",
	},
	{
		Code: "crop-corners", Message: "`crop` cannot cut from ({x}, {y}) to ({x2}, {y2})",
		Hint: "both are places from (0, 0), the lower left, to (1, 1), and the second is above and right of the first",
		Rule: "`crop` takes the lower left corner of the part and then its upper right one, as shares of the picture's width and height.",
		Bad:  "note crop(image(\"moon.png\"), (0.9, 0.1), (0.2, 0.8)).width\nahead 10\n",
		Good: "note crop(image(\"moon.png\"), (0.2, 0.1), (0.9, 0.8)).width\nahead 10\n",
	},
	{
		Code: "picture-style", Message: "there is no style `{value}`",
		Hint: "the styles are {known}",
		Rule: "A style is how the line of a picture runs.",
		Bad:  "follow halftone(image(\"moon.png\"), width: 30, style: \"evolve\")\n",
		Good: "follow halftone(image(\"moon.png\"), width: 30, style: \"evolved\")\n",
	},
	{
		Code: "picture-small", Message: "a picture {width} by {height} mm is too small for a line {line} mm wide",
		Hint: "make it wider: at least {least} mm",
		Rule: "A picture is drawn with at least 16 widths of line each way. With fewer there would be nothing to be seen but the line.",
		Bad:  "follow halftone(image(\"moon.png\"), width: 4)\n",
		Good: "follow halftone(image(\"moon.png\"), width: 20)\n",
	},
	{
		Code: "picture-large", Message: "a picture {width} mm wide is too large for a line {line} mm wide",
		Hint: "make it narrower, or the line of the profile wider",
		Rule: "A picture has at most four million squares of a line's width; more could neither be computed nor drawn in a day.",
		Bad:  "follow halftone(image(\"moon.png\"), width: 5000)\n",
		Good: "follow halftone(image(\"moon.png\"), width: 20)\n",
	},
	{
		Code: "picture-blank", Message: "this picture is all white: there is nothing to draw",
		Hint:    "take another part of it, or another picture",
		Rule:    "A line is drawn where a picture is dark, and this one is dark nowhere.",
		Subject: Outside, Bad: "halftone of a photo of fresh snow", Good: "halftone of a photo of trees in snow",
	},
	{
		Code: "picture-amount", Message: "`{name}` cannot be {value}",
		Hint: "{wanted}",
		Rule: "`minutes` is how long the machine may draw, `metres` how long the line may be, and either is above 0 and at most 10,000. `contrast` goes from 0, the tones as they are, over 1, the usual, to 3, and the `detail` of an outline from 0.25 over 1, the usual, to 4.",
		Bad:  "follow halftone(image(\"moon.png\"), width: 30, minutes: 0)\n",
		Good: "follow halftone(image(\"moon.png\"), width: 30, minutes: 0.3)\n",
	},
	{
		Code: "picture-two-goals", Message: "`minutes` and `metres` both say how much line there is to be",
		Hint: "leave out one of them",
		Rule: "How long the machine draws follows from how long the line is, so only one of them can be chosen.",
		Bad:  "follow halftone(image(\"moon.png\"), width: 30, minutes: 0.3, metres: 1)\n",
		Good: "follow halftone(image(\"moon.png\"), width: 30, minutes: 0.3)\n",
	},
	{
		Code: "picture-saturated", Severity: Warning, Message: "all the ink of this picture comes to {found}, not {wanted}",
		Hint: "for a longer line make the picture wider; without `{name}` it is drawn as it is now",
		Rule: "Once every tone of a picture is as dark as it is in the photo, more line would only spoil it. So the line ends there, and takes less than it was allowed.",
		Bad:  "follow halftone(image(\"moon.png\"), width: 20, minutes: 60)\n",
		Good: "follow halftone(image(\"moon.png\"), width: 20)\n",
	},
	{
		Code: "picture-missed", Severity: Warning, Message: "the line nearest to what is allowed comes to {found}, not {wanted}",
		Hint: "a narrower picture, other `{name}` or another style may come nearer",
		Rule: "The waves of `coil` and `furrows` need their guide, and the level lines of a picture are closed or not there, so a style cannot be as short as one likes. Where a line is more than 3 % off `minutes` or `metres`, that is said.",
		Bad:  "follow halftone(image(\"moon.png\"), width: 30, style: \"coil\", metres: 0.02)\n",
		Good: "follow halftone(image(\"moon.png\"), width: 30, style: \"coil\", metres: 0.5)\n",
	},
	{
		Code: "photo-page", Message: "`{name}` at {width} by {height} mm does not fit the page, which is {across} by {up} mm",
		Hint:    "`--width {most}` is as wide as fits; without `--width` it is as large as the page allows",
		Rule:    "A photo is drawn in the middle of the page, within its margin. Whether it fits is judged by its size in pixels before anything is computed.",
		Subject: Outside, Bad: "wend build cat.jpg --width 500", Good: "wend build cat.jpg --width 120",
	},
}

package main

import (
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/stdlib"
)

// photoFlags are the flags about how a photo is drawn.
type photoFlags struct {
	style, width, minutes, crop, contrast string
}

func (f *photoFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.style, "style", "", "of a photo: how its line runs, `"+strings.Join(stdlib.PictureStyles(), ", ")+"` (without it: "+stdlib.PictureStyles()[0]+")")
	flags.StringVar(&f.width, "width", "", "of a photo: how wide it is drawn, in `mm` (without it: as large as the page allows)")
	flags.StringVar(&f.minutes, "minutes", "", "of a photo: `how long` this machine may draw (without it: until every tone is as dark as in the photo)")
	flags.StringVar(&f.crop, "crop", "", "of a photo: the part to draw, `LEFT,BOTTOM,RIGHT,TOP` in percent from the lower left")
	flags.StringVar(&f.contrast, "contrast", "", "of a photo: how much tones are stretched and details brought out, a `number` from 0 to 3 (without it: 1)")
}

// first is the first of these flags that was given, or "".
func (f *photoFlags) first() string {
	for _, flag := range [][2]string{{"--style", f.style}, {"--width", f.width}, {"--minutes", f.minutes}, {"--crop", f.crop}, {"--contrast", f.contrast}} {
		if flag[1] != "" {
			return flag[0]
		}
	}
	return ""
}

// wishes are what the flags say. A wrong flag is a usage error.
func (f *photoFlags) wishes() (engine.PhotoWishes, error) {
	var w engine.PhotoWishes
	if f.style != "" {
		if fault := stdlib.StyleFault(f.style); fault != nil {
			if fault.Hint != "" {
				return w, usagef("there is no style `%s`: %s", f.style, fault.Hint)
			}
			return w, usagef("--style is one of %s, not `%s`", strings.Join(stdlib.PictureStyles(), ", "), f.style)
		}
	}
	w.Style = f.style
	number := func(flag, text string, least, most float64, to *float64) error {
		if text == "" {
			return nil
		}
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || !(x >= least && x <= most) {
			return usagef("%s takes a number from %g to %g, not `%s`", flag, least, most, text)
		}
		*to = x
		return nil
	}
	if err := number("--width", f.width, 1, 100_000, &w.WidthMM); err != nil {
		return w, err
	}
	if err := number("--minutes", f.minutes, 0.1, 10_000, &w.Minutes); err != nil {
		return w, err
	}
	if f.contrast != "" {
		w.Contrast = new(float64)
		if err := number("--contrast", f.contrast, 0, 3, w.Contrast); err != nil {
			return w, err
		}
	}
	if f.crop != "" {
		crop, ok := parseCrop(f.crop)
		if !ok {
			return w, usagef("--crop takes LEFT,BOTTOM,RIGHT,TOP in percent from the lower left, such as 10,0,90,80, not `%s`", f.crop)
		}
		w.Crop = &crop
	}
	return w, nil
}

func parseCrop(text string) (crop [4]float64, ok bool) {
	parts := strings.Split(text, ",")
	if len(parts) != len(crop) {
		return crop, false
	}
	for i, part := range parts {
		percent, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil || !(percent >= 0 && percent <= 100) {
			return crop, false
		}
		crop[i] = percent / 100
	}
	return crop, crop[0] < crop[2] && crop[1] < crop[3]
}

package main

import (
	"errors"
	"math"
	"strconv"

	"wend/lang/diag"
)

// lengthFlag is a length above 0, in mm, or 0 where the flag was left out.
type lengthFlag float64

func (f *lengthFlag) String() string { return decimal(float64(*f)) }

func (f *lengthFlag) Type() string { return "float" }

func (f *lengthFlag) Set(text string) error {
	mm, err := strconv.ParseFloat(text, 64)
	if err != nil || !(mm > 0) || math.IsInf(mm, 0) {
		return errors.New("not a length")
	}
	*f = lengthFlag(mm)
	return nil
}

// sideFlag is the longer side of a picture in pixels, or 0 where the flag was
// left out.
type sideFlag int

// The longer side of a picture: of the smallest in which a line can be made out,
// and of the largest that every page allows.
const leastPixels, mostPixels = 64, 10_000

func (f *sideFlag) String() string { return strconv.Itoa(int(*f)) }

func (f *sideFlag) Type() string { return "int" }

func (f *sideFlag) Set(text string) error {
	pixels, err := strconv.Atoi(text)
	if err != nil || pixels < leastPixels || pixels > mostPixels {
		return errors.New("not the side of a picture")
	}
	*f = sideFlag(pixels)
	return nil
}

func (f *sideFlag) takes() string {
	return "the longer side of a picture, " + strconv.Itoa(leastPixels) + " to " + diag.Grouped(mostPixels) + " pixels"
}

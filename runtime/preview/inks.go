package preview

import (
	"encoding/binary"
	"image"
	"image/color"
)

// The paper and the pencil are our own; the signal colours are those of Okabe
// and Ito, Color Universal Design (2002, revised 2008), which people with any
// kind of colour vision can tell apart. None stands alone: each also differs
// in shape or pattern.
const (
	paperTone  rgb = 0xFDFCF8 // the page
	marginTone rgb = 0xF5F2EA // around it
	graphite   rgb = 0x2A2B2F
	vermillion rgb = 0xD55E00
	blue       rgb = 0x0072B2
	green      rgb = 0x009E73
	orange     rgb = 0xE69F00
)

// rgb is an opaque colour, 8 bits each of red, green and blue.
type rgb uint32

func (c rgb) rgba() color.RGBA { return color.RGBA{uint8(c >> 16), uint8(c >> 8), uint8(c), 0xFF} }

// ink is one row of the palette: a colour in steps of coverage over a ground.
type ink struct {
	over, colour rgb
	steps        int
}

// The rows of the palette. Two grounds come first, then the inks.
const (
	onPage = iota
	onMargin
	grounds
)

const (
	inkLine       = iota // the drawing
	inkRuler             // ticks, numbers, words
	inkOutside           // off the page, or unsure
	inkLink              // added between parts
	inkRetrace           // a thread on the drawing
	inkThread            // a second line, on paper
	inkThreadBand        // and on the first
	inkBegin
	inkEnd
	inkCount
)

// bandShare is how dark a line is that has another laid over it.
const bandShare = 66 // 255ths

func inks() [inkCount]ink {
	return [inkCount]ink{
		inkLine:       {paperTone, graphite, 70},
		inkRuler:      {marginTone, graphite, 40},
		inkOutside:    {marginTone, vermillion, 32},
		inkLink:       {paperTone, blue, 28},
		inkRetrace:    {graphite, orange, 16},
		inkThread:     {paperTone, blue, 20},
		inkThreadBand: {mix(paperTone, graphite, bandShare), blue, 16},
		inkBegin:      {paperTone, green, 14},
		inkEnd:        {paperTone, blue, 14},
	}
}

// paints is the palette, and for each ink the index of each coverage; 0 means
// that the ground stays.
type paints struct {
	palette color.Palette
	index   [inkCount][256]uint8
}

func newPaints() *paints {
	p := &paints{palette: color.Palette{paperTone.rgba(), marginTone.rgba()}}
	for k, ink := range inks() {
		base := len(p.palette)
		for s := 1; s <= ink.steps; s++ {
			p.palette = append(p.palette, mix(ink.over, ink.colour, 255*s/ink.steps).rgba())
		}
		for v := range 256 {
			if s := (v*ink.steps + 127) / 255; s > 0 {
				p.index[k][v] = uint8(base + s - 1)
			}
		}
	}
	return p
}

// mix is the colour where share 255ths of the ground are covered.
func mix(over, colour rgb, share int) rgb {
	part := func(shift int) rgb {
		a, b := int(over>>shift&0xFF), int(colour>>shift&0xFF)
		return rgb((a*(255-share)+b*share+127)/255) << shift
	}
	return part(16) | part(8) | part(0)
}

// The slants of the usual hatchings, as a way along their bands in px: none that
// drawings favour.
var offSlant, addedSlant = [2]float64{3, -5}, [2]float64{3, 5}

// stripes is a pattern of slanted bands. It lies fixed on the paper and not
// along the line, so that line gone over many times keeps it.
type stripes struct {
	a, b, period int
	share        []uint8 // of the coverage that stays, by phase, 255ths
}

// newStripes makes bands about width px apart; pale is what is left between
// them.
func newStripes(a, b int, width float64, pale uint8) stripes {
	// One px across the bands is about √(a²+b²) phases: 5.83 for (5, 3).
	const pixel = 5.83
	s := stripes{a: a, b: b, period: int(float64(width * pixel))}
	s.share = make([]uint8, s.period)
	for t := range s.share {
		edge := min(float64(t), float64(0.58*float64(s.period))-float64(t)) / pixel // px into the band
		s.share[t] = pale + uint8(float64(255-pale)*max(0, min(1, edge+0.5)))
	}
	return s
}

func (s *stripes) at(x, y int) int {
	t := (s.a*x + s.b*y) % s.period
	if t < 0 {
		t += s.period
	}
	return int(s.share[t])
}

// art is a picture in the making: planes of coverage, and how they lie on each
// other.
type art struct {
	*layout
	paints   *paints
	rule     *plane         // rulers and words
	begin    *plane         // the mark where the line begins; lies under the line
	end      *plane         // and where it ends
	line     [layers]*plane // the line
	second   *plane         // a line laid over it
	unsure   [2]*plane      // line of which it is not known whether it is there, by hatching
	measures *plane         // dimensions and their words
	off      [2]stripes     // the hatchings of line off the page, the usual and the other
	added    [2]stripes     // and of links
	spent    []*plane       // are of no more use
}

// newArt starts the picture with bare paper. Pen widths in px set how wide the
// patterns are.
func newArt(l *layout, pen float64) *art {
	wide := max(7, min(2.6*pen, 2*l.em))
	return &art{layout: l, paints: newPaints(), off: newHatchings(offSlant, wide, 70), added: newHatchings(addedSlant, 1.5*wide, 64)}
}

// newHatchings are stripes along a slant, and those across it.
func newHatchings(slant [2]float64, width float64, pale uint8) [2]stripes {
	x, y := int(slant[0]), int(slant[1])
	return [2]stripes{newStripes(-y, x, width, pale), newStripes(x, y, width, pale)}
}

// clean is a plane without ink.
func (a *art) clean() *plane {
	if n := len(a.spent); n > 0 {
		p := a.spent[n-1]
		a.spent = a.spent[:n-1]
		clear(p.pix)
		return p
	}
	return newPlane(a.w, a.h)
}

// compose lays the planes over each other in a part of the picture. Its pixels may
// be those of the plane of the rulers.
func (a *art) compose(on *image.Paletted, part image.Rectangle) {
	part = part.Intersect(image.Rect(0, 0, a.w, a.h))
	index := &a.paints.index
	line := a.line[drawn]
	lines := &index[inkLine]
	if a.second != nil {
		var band [256]uint8
		for v := range band {
			band[v] = lines[v*bandShare/255]
		}
		lines = &band
	}
	from, to := part.Min.X, part.Max.X
	row := make([]uint8, a.w)
	for y := part.Min.Y; y < part.Max.Y; y++ {
		a.ground(row, y, from, to)
		base := y * a.w
		lay := func(p *plane, paint *[256]uint8) {
			if p != nil {
				lay(row[from:to], p.pix[base+from:base+to], paint)
			}
		}
		lay(a.rule, &index[inkRuler])
		lay(a.begin, &index[inkBegin])
		lay(a.end, &index[inkEnd])
		lay(line, lines)
		a.hatch(row, part, y, inkLink, &a.added, a.line[link], a.line[linkSteep])
		lay(a.line[retrace], &index[inkRetrace])
		a.hatch(row, part, y, inkOutside, &a.off, a.line[outside], a.line[outsideSteep])
		for k, p := range a.unsure {
			if p == nil {
				continue
			}
			for x := from; x < to; x++ {
				if i := index[inkOutside][int(p.pix[base+x])*a.off[k].at(x, y)/255]; i != 0 {
					row[x] = i
				}
			}
		}
		if p := a.second; p != nil {
			for x := from; x < to; x++ {
				v := p.pix[base+x]
				ink := inkThread
				if line != nil && line.pix[base+x] >= 128 {
					ink = inkThreadBand
				}
				if i := index[ink][v]; i != 0 {
					row[x] = i
				}
			}
		}
		lay(a.measures, &index[inkThread])
		copy(on.Pix[y*on.Stride+from:], row[from:to])
	}
}

// lay puts the paint of each coverage over what lies along a row; paint 0 leaves it.
func lay(row, cover []uint8, paint *[256]uint8) {
	for i := 0; i < len(cover); {
		end := min(i+atOnce, len(cover))
		if end == i+atOnce && binary.LittleEndian.Uint64(cover[i:]) == 0 {
			i = end // most of a picture is bare
			continue
		}
		for ; i < end; i++ {
			if p := paint[cover[i]]; p != 0 {
				row[i] = p
			}
		}
	}
}

// hatch lays two planes along a row, each in its hatching, where they cover more
// than the line does.
func (a *art) hatch(row []uint8, part image.Rectangle, y, ink int, hatchings *[2]stripes, planes ...*plane) {
	base := y * a.w
	line := a.line[drawn]
	for k, p := range planes {
		if p == nil {
			continue
		}
		for x := part.Min.X; x < part.Max.X; x++ {
			v := int(p.pix[base+x])
			if v == 0 || line != nil && v <= int(line.pix[base+x]) {
				continue
			}
			if i := a.paints.index[ink][v*hatchings[k].at(x, y)/255]; i != 0 {
				row[x] = i
			}
		}
	}
}

// ground lays bare paper along a row.
func (a *art) ground(row []uint8, y, from, to int) {
	fill(row[from:to], onMargin)
	if y >= a.page.Min.Y && y < a.page.Max.Y {
		if from, to = max(from, a.page.Min.X), min(to, a.page.Max.X); from < to {
			fill(row[from:to], onPage)
		}
	}
}

// fill paints all of a row, which is not empty.
func fill(row []uint8, paint uint8) {
	row[0] = paint
	for n := 1; n < len(row); n *= 2 {
		copy(row[n:], row[:n])
	}
}

package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/kind"
	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/stdlib"
)

// runFlags are the flags of every command that runs a program.
type runFlags struct {
	machine   string
	seed      string
	set       []string
	start     string
	limits    string
	tolerance string
	travel    bool
	fills     string
	photo     photoFlags
	json      bool
	quiet     bool
	plain     bool
}

func (f *runFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.machine, "machine", "", "machine profile, a TOML `file` (without it: the built-in desk toy)")
	flags.StringVar(&f.seed, "seed", "", "`number` that begins the random sequence, whatever the program says")
	flags.StringArrayVar(&f.set, "set", nil, "give a top-level variable another first value, `NAME=VALUE`; may be repeated")
	flags.StringVar(&f.start, "start", "", "where the stylus stands, `X,Y` in page mm (without it: what the profile says)")
	flags.StringVar(&f.limits, "limits", "normal", "how much a program may compute: `normal or high`")
	flags.StringVar(&f.tolerance, "tolerance", "", "how far the drawn line may be from the one asked for, in `mm` (without it: what the profile says)")
	f.addOutput(cmd)
}

// addElsewhere adds the flags about what comes from elsewhere.
func (f *runFlags) addElsewhere(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.fills, "fills", "", fillsHelp())
	f.photo.add(cmd)
	cmd.Flags().BoolVar(&f.travel, "draw-travel", false, "of an instruction file: draw the ways on which it lifts its tool (Z, E, M5, S), too")
}

func fillsHelp() string {
	ways := stdlib.WaysWithFills()
	return "of a drawing (SVG): what is filled, `" + strings.Join(ways, ", ") + "` (without it: " + ways[0] + ")"
}

func checkFills(fills string) error {
	if ways := stdlib.WaysWithFills(); fills != "" && !slices.Contains(ways, fills) {
		return usagef("--fills is one of %s, not `%s`", strings.Join(ways, ", "), fills)
	}
	return nil
}

func (f *runFlags) addOutput(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&f.json, "json", false, "print one JSON object instead of text")
	cmd.Flags().BoolVar(&f.quiet, "quiet", false, "print nothing but errors")
	cmd.Flags().BoolVar(&f.plain, "plain", false, "note places in words, draw no marks, rewrite no lines")
}

// worthShowing is a list without its warnings, if only errors are wanted.
func (f *runFlags) worthShowing(list diag.List) diag.List {
	if !f.quiet {
		return list
	}
	return slices.DeleteFunc(slices.Clone(list), func(d diag.Diagnostic) bool { return d.Severity != diag.Error })
}

// settings are what the flags say. A wrong flag is a usage error; faults of the
// profile or of a value are in the list.
func (f *runFlags) settings(c console) (engine.Settings, diag.List, error) {
	s := engine.Settings{Read: c.readBeside, DrawTravel: f.travel, Fills: f.fills}
	switch f.limits {
	case "normal":
	case "high":
		s.High = true
	default:
		return s, nil, usagef("--limits is normal or high, not `%s`", f.limits)
	}
	photo, err := f.photo.wishes()
	if err != nil {
		return s, nil, err
	}
	s.Photo = photo
	if err := checkFills(f.fills); err != nil {
		return s, nil, err
	}
	if f.seed != "" {
		seed, err := strconv.ParseUint(f.seed, 10, 64)
		if err != nil {
			return s, nil, usagef("--seed takes a whole number from 0 to 18446744073709551615, not `%s`", f.seed)
		}
		s.Seed = &seed
	}
	if f.start != "" {
		start, err := parsePoint(f.start)
		if err != nil {
			return s, nil, usagef("--start takes two numbers of mm, such as 20,15, not `%s`", f.start)
		}
		s.Start = &start
	}
	values, list, err := f.values()
	if err != nil {
		return s, nil, err
	}
	s.Values = values
	profile, more := c.profile(f.machine)
	list = append(list, more...)
	if f.tolerance != "" && profile != nil {
		if profile, err = withTolerance(profile, f.tolerance); err != nil {
			return s, nil, err
		}
	}
	s.Profile = profile
	if s.Start != nil && profile != nil && !profile.Page().Grow(geom.SamePoint).Contains(*s.Start) {
		return s, nil, usagef("--start %s is not on the page of the %s, which goes from 0,0 to %g,%g", f.start, profile.Name, profile.Page().Width(), profile.Page().Height())
	}
	return s, list, nil
}

// unfit reports flags that have no use for what is drawn, rather than pass them
// over.
func (f *runFlags) unfit(program *engine.Program) diag.List {
	flag, of := "", "a program"
	switch {
	case program.FromElsewhere() && !program.Photographed() && f.seed != "":
		flag = "--seed"
	case program.FromElsewhere() && len(f.set) > 0:
		flag = "--set"
	case !program.Traced() && f.travel:
		flag, of = "--draw-travel", "an instruction file"
	case !program.Pictured() && f.fills != "":
		flag, of = "--fills", "a drawing (SVG)"
	case !program.Photographed() && f.photo.first() != "":
		flag, of = f.photo.first(), "a photo"
	}
	if flag == "" {
		return nil
	}
	return diag.List{diag.New("flag-unfit", source.Span{}, diag.Args{"flag": flag, "of": of})}
}

// withTolerance is a profile with another tolerance, held to the same rules as
// one that is written in a profile.
func withTolerance(p *machine.Profile, text string) (*machine.Profile, error) {
	mm, err := strconv.ParseFloat(text, 64)
	if err != nil || !(mm >= 0.001 && mm <= 5) {
		return nil, usagef("--tolerance takes a number of mm from 0.001 to 5, not `%s`", text)
	}
	changed := *p
	changed.Drawing.ToleranceMM = mm
	if least := changed.SmallestToleranceMM(); mm < least {
		return nil, usagef("--tolerance %s is finer than the steps of the %s allow: at least %g mm", text, p.Name, least)
	}
	return &changed, nil
}

func parsePoint(text string) (geom.Point, error) {
	xs, ys, ok := strings.Cut(text, ",")
	if !ok {
		return geom.Point{}, fmt.Errorf("no comma")
	}
	x, err := strconv.ParseFloat(strings.TrimSpace(xs), 64)
	if err != nil {
		return geom.Point{}, err
	}
	y, err := strconv.ParseFloat(strings.TrimSpace(ys), 64)
	if err != nil || x-x != 0 || y-y != 0 {
		return geom.Point{}, fmt.Errorf("no number")
	}
	return geom.Point{X: x, Y: y}, nil
}

// values reads the --set flags: each is a name and an expression of the language.
func (f *runFlags) values() (map[string]*ast.Let, diag.List, error) {
	values := map[string]*ast.Let{}
	var list diag.List
	for _, setting := range f.set {
		name, value, ok := strings.Cut(setting, "=")
		name = strings.TrimSpace(name)
		if !ok || name == "" || strings.TrimSpace(value) == "" {
			return nil, nil, usagef("--set takes NAME=VALUE, such as --set size=30, not `%s`", setting)
		}
		// The value is read as the program itself would be read, with the
		// whole setting as its text, so that a fault is shown in its place.
		file := source.New("--set", "let "+name+" = "+value)
		tree, faults := parse.File(file)
		list = append(list, faults...)
		if faults.Failed() {
			continue
		}
		let, ok := tree.Body[0].(*ast.Let)
		if !ok || len(tree.Body) != 1 {
			return nil, nil, usagef("--set takes one value, not `%s`", setting)
		}
		values[let.Name.Name] = let
	}
	return values, list, nil
}

// profile reads a machine profile; without a name it is the built-in desk toy.
func (c console) profile(name string) (*machine.Profile, diag.List) {
	if name == "" {
		return machine.DeskToy(), nil
	}
	file, err := c.readText(name, kind.Profile)
	if err != nil {
		return nil, engine.Faults(err)
	}
	return machine.Read(file)
}

// readBeside reads a file that a program names. It lies beside the program or
// below, also when links are followed: a program of someone else's reads
// nothing but what came with it.
func (c console) readBeside(program, name string) (*source.File, error) {
	if !liesWithin(filepath.Dir(program), name) {
		outside := aboutFile(name, "file-outside", nil)
		outside.Hint = "it is a link, or lies behind one, that leads elsewhere: put a copy of the file there instead"
		return nil, outside
	}
	data, err := c.readUpTo(name, func(head []byte) int64 { return kind.Of(name, head).Limit() })
	if err != nil {
		return nil, err
	}
	return source.New(name, string(data)), nil
}

// liesWithin reports whether a file is in a folder or below once all links are
// followed. What is not there is left to whoever reads it.
func liesWithin(folder, name string) bool {
	real := func(path string) (string, error) {
		path, err := filepath.Abs(path)
		if err != nil {
			return "", err
		}
		return filepath.EvalSymlinks(path)
	}
	root, errRoot := real(folder)
	place, errPlace := real(name)
	if errRoot != nil || errPlace != nil {
		return true
	}
	way, err := filepath.Rel(root, place)
	return err == nil && filepath.IsLocal(way)
}

package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
)

// hereJSON is what `wend machine here --json` prints.
type hereJSON struct {
	Machine  string    `json:"machine"`
	Position string    `json:"position"` // lost, assumed
	Why      string    `json:"why,omitempty"`
	Page     pointJSON `json:"page"`
	Motors   pointJSON `json:"motors"` // machine mm
}

func newMachineHere(c console) *cobra.Command {
	var f profileFlags
	cmd := &cobra.Command{
		Use:   "here [X Y]",
		Short: "show where the stylus is taken to stand, or say where it stands",
		Long: `Without numbers it shows the remembered position: in page mm, and where the motors
count themselves to be, in machine mm from the lower left corner of the area. With
two numbers, in page mm, it takes your word for where the stylus stands: look first.

No port is opened and nothing moves. The next session assumes that position, and asks
once more before it draws.`,
		Example: `  wend machine here --machine bench.toml
  wend machine here 20 15 --machine bench.toml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 0 && len(args) != 2 {
				return usagef("`wend machine here` takes no number or two, x and y in mm of the page")
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error {
			o := &operator{c: c, plain: f.plain}
			profile, list := c.profile(f.machine)
			c.show(list, f.plain)
			if list.Failed() {
				return exit(exitErrors)
			}
			if len(args) == 2 {
				at, err := parsePoint(args[0] + "," + args[1])
				if err != nil {
					return usagef("`wend machine here` takes two numbers of mm, such as 20 15")
				}
				if err := c.declare(profile, at); err != nil {
					return o.failed(err)
				}
			}
			return c.here(profile, f.json)
		},
	}
	f.add(cmd)
	return cmd
}

func (c console) declare(p *machine.Profile, at geom.Point) error {
	memory, err := link.OpenMemory(link.Disk(c.stateFolder()), p.Name, p)
	if err != nil {
		return err
	}
	defer memory.Close()
	return memory.Declare(p, at, c.now())
}

func (c console) here(p *machine.Profile, json bool) error {
	at, certainty, why := link.Remember(link.Disk(c.stateFolder()), p.Name, p).Recall()
	page, motors := link.StylusAt(p, at.Steps, at.Side), p.AtSteps(at.Steps)
	switch {
	case json:
		result := hereJSON{Machine: p.Name, Position: certainty.String(), Why: why}
		if certainty != link.Lost {
			result.Page, result.Motors = newPointJSON(page), newPointJSON(motors)
		}
		if err := c.writeJSON(result); err != nil {
			return exit(exitErrors)
		}
	case certainty == link.Lost:
		fmt.Fprintf(c.stdout, "%s: the position is lost: %s\n", p.Name, why)
	default:
		fmt.Fprintf(c.stdout, "%s: %s at (%.2f, %.2f) of the page; the motors at (%.2f, %.2f) of the area\n", p.Name, certainty, page.X, page.Y, motors.X, motors.Y)
	}
	return nil
}

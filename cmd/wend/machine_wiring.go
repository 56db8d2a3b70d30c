package main

import (
	"github.com/spf13/cobra"

	"wend/cmd/wend/operate"
)

// wiring is how such a machine is put together, in general words: common
// practice, no source. What a maker's papers say goes before it.
func wiring() []string {
	return []string{
		"This is general information. The papers of your board, drivers, motors and supply go before it, and so do local rules and qualified people.",
		"Power. A ready-made low-voltage supply with a current limit or a fuse feeds the drivers; the board's logic is fed by USB or as its papers say. A switch in reach, on the motors' supply, cuts it; it stays off until it is put back by hand. Connect everything with the power off.",
		"Motors. A bipolar stepper motor has two coils: with a meter, the two wires with a small resistance between them are one coil. Each coil goes to one pair of its driver's outputs. A coil that is turned round only turns the direction, and that can be set in the profile (reversed). Never plug or unplug a motor while its driver is live.",
		"Current. Set each driver's limit to its motor's rated current or below, before the motor turns for the first time; both get hot. The motor of the left knob is x, that of the right knob is y.",
		"Microsteps. Jumpers or switches at the driver set them; write the same number into the profile (microsteps), with the motor's full steps a turn (steps_per_turn, commonly 200).",
		"No limit switches. The board must know of none: limit switches, search for them and limits of its own are off, and `wend machine status` says if they are not. Nothing but the checks of wend keeps the stylus from the edges.",
		"First settings. Write none by hand: `wend machine new` writes a profile, and `wend machine tune` shows what the board is to be set to (directions, steps per mm, largest rates, accelerations, corner deviation, what its reports tell) and writes it after the word `set`. Steps per mm are steps_per_turn times microsteps, divided by the mm of line that one turn of the motor draws.",
		"First motion. Gears off the knobs, power on, `wend machine jog`: each motor turns both ways, quietly and cool. Then the gears, then `wend machine tune`, one person at the controls and a hand at the switch.",
		"The cable. Short, away from the motors' wires, with the board's and the supply's ground joined once: a changed byte can become a wrong move.",
	}
}

func newMachineWiring(c console) *cobra.Command {
	return &cobra.Command{
		Use:   "wiring",
		Short: "how a board and its motors are wired and first set, in general words",
		Long: `A page about wiring and a board's first settings, in general words, with the cautions.
The papers of your parts go before it.`,
		Example: `  wend machine wiring`,
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			for _, text := range wiring() {
				c.tell("%s\n\n", c.paragraph(c.stdout, "", text))
			}
			c.tell("Cautions\n")
			for _, caution := range operate.Cautions() {
				c.tell("%s\n", c.paragraph(c.stdout, "  ", caution))
			}
			return nil
		},
	}
}

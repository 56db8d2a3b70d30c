package main

import (
	"context"

	"github.com/spf13/cobra"

	"wend/runtime/link"
)

// statusJSON is what `wend machine status --json` prints. The fields are a
// promise: they may be added to, not renamed.
type statusJSON struct {
	Machine     string         `json:"machine"`
	Port        string         `json:"port"`
	Position    string         `json:"position"` // lost, assumed
	At          *pointJSON     `json:"at"`       // page mm; null while the position is lost
	KeptRunning bool           `json:"kept_running"`
	Counts      bool           `json:"counts"`
	Differs     []settingsJSON `json:"differs"`
}

type settingsJSON struct {
	Name   string `json:"name"`
	Is     string `json:"is"`
	Should string `json:"should"`
}

func newMachineStatus(c console) *cobra.Command {
	var f machineFlags
	cmd := &cobra.Command{
		Use:   "status",
		Short: "ask the board how it is set and where it counts itself to be; nothing moves",
		Long: `Opens the port, asks the board, and says what it answers: whether it is set as the
profile says, whether it has counted on since it was used last, and where the stylus is
taken to stand. Nothing is drawn, and nothing is written to the board's settings.

Many boards are reset when their port is opened. A board that draws just now is left to
the wend that draws with it.`,
		Example: `  wend machine status --machine bench.toml
  wend machine status --port sim`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return c.withOperator(cmd.Context(), &f, func(ctx context.Context, o *operator) error {
				return o.failed(c.status(ctx, &f, o))
			})
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.machine, "machine", "", "machine profile, a TOML `file` (without it: the built-in desk toy, for --port sim)")
	flags.StringVar(&f.port, "port", "", "serial `port`, or sim for the simulated machine (without it: what the profile says)")
	flags.BoolVar(&f.json, "json", false, "print one JSON object instead of text")
	flags.BoolVar(&f.plain, "plain", false, "plain lines")
	return cmd
}

func (c console) status(ctx context.Context, f *machineFlags, o *operator) error {
	settings, err := f.settings(c)
	if err != nil {
		return err
	}
	connection, err := o.connect(ctx, settings, f.port, false)
	if err != nil {
		return err
	}
	defer connection.Close() //nolint:errcheck // nothing moved
	_, at, certainty := connection.Where()
	result := statusJSON{
		Machine: settings.Profile.Name, Port: connection.Name, Position: certainty.String(),
		KeptRunning: connection.link.KeptRunning(), Counts: connection.link.Counts(), Differs: []settingsJSON{},
	}
	if certainty != link.Lost {
		page := newPointJSON(at)
		result.At = &page
	}
	for _, m := range connection.Mismatches() {
		result.Differs = append(result.Differs, settingsJSON{m.Name, m.Is, m.Should})
	}
	if f.json {
		return c.writeJSON(result)
	}
	c.tell("%s at %s answers\n", result.Machine, result.Port)
	if certainty == link.Lost {
		c.tell("the position is lost: %s\n", connection.WhyLost())
	} else {
		c.tell("the stylus is taken to stand at (%.1f, %.1f) of the page; nobody has looked\n", at.X, at.Y)
	}
	switch {
	case connection.simulated != nil:
	case result.Counts:
		c.tell("the board has counted on since it was used last, and stands there by its own count\n")
	case result.KeptRunning:
		c.tell("opening the port did not reset the board, but it has not counted on since it was used last\n")
	default:
		c.tell("opening the port reset the board: it does not know where the stylus is\n")
	}
	for _, m := range result.Differs {
		c.tell("it differs from the profile: %s is %s, not %s\n", m.Name, m.Is, m.Should)
	}
	if len(result.Differs) == 0 {
		c.tell("it is set as the profile says\n")
	}
	return nil
}

package operate

import (
	"context"
	"errors"
	"fmt"

	"wend/lang/diag"
	"wend/runtime/link"
)

// Settle compares the board's settings with the profile, and offers to write
// them.
func (c *Conversation) Settle(ctx context.Context, m Machine) error {
	different := m.Mismatches()
	if len(different) == 0 {
		return nil
	}
	for _, one := range different {
		number := ""
		if one.Setting >= 0 {
			number = fmt.Sprintf(" (setting %d)", one.Setting)
		}
		c.Say("the board differs from the profile: %s is %s, not %s%s", one.Name, one.Is, one.Should, number)
	}
	if c.Alone {
		return &diag.Fault{Code: "board-settings-differ", Args: diag.Args{"count": len(different)}}
	}
	if err := c.Consent(ctx, "type `set` to write the profile's values to the board, Enter alone to leave it: ", "set", false); err != nil {
		return err
	}
	if err := m.Settle(ctx, different); err != nil {
		return err
	}
	if left := m.Mismatches(); len(left) > 0 {
		return &diag.Fault{Code: "board-settings-differ", Args: diag.Args{"count": len(left)}}
	}
	c.Say("the board is set as the profile says")
	return nil
}

// Confirm has the slack taken up, where it is not known, and somebody look where
// the stylus stands then.
func (c *Conversation) Confirm(ctx context.Context, m *Connection) error {
	if err := c.takeUp(ctx, m); err != nil {
		return err
	}
	return c.Look(ctx, m)
}

// Look has somebody look where the stylus stands. A script's word leaves the
// position assumed: nobody has looked.
func (c *Conversation) Look(ctx context.Context, m *Connection) error {
	_, at, certainty := m.Where()
	switch {
	case certainty == link.Lost:
		return &diag.Fault{Code: "position-lost", Args: diag.Args{"why": m.WhyLost()}}
	case certainty == link.Confirmed, c.Word == Armed:
		return nil
	case c.Word == Sure:
		if !m.Counts {
			return &diag.Fault{Code: "position-unsure"}
		}
		return nil
	}
	err := c.Consent(ctx, fmt.Sprintf("look: does the stylus stand at %s of the page? Type `there` if so, Enter alone if not: ", Place(at)), "there", false)
	if errors.Is(err, ErrDeclined) && c.Remedy != "" {
		c.Say("%s", c.Remedy)
	}
	if err != nil {
		return err
	}
	return m.Confirm()
}

// takeUp takes up the slack where it is not known where the knobs stand in it,
// as after somebody said where the stylus is: before that nobody can tell by
// half a slack where the motors will bring it.
func (c *Conversation) takeUp(ctx context.Context, m *Connection) error {
	slack, unknown := m.SlackUnknown()
	if _, _, certainty := m.Where(); !unknown || certainty == link.Lost {
		return nil
	}
	c.Say("it is not known where the knobs stand in their slack: it is taken up first, by a stroke of at most %.1f mm", slack.Length())
	if err := c.Consent(ctx, "type `take` to take it up, Enter alone not to: ", "take", true); err != nil {
		return err
	}
	if err := c.Watched(ctx, "moved", m.TakeUp); err != nil {
		return err
	}
	if c.Word != Unsaid {
		c.Say("nobody looks where the stylus stands now: it may be %.2f mm from there", slack.Length()/2)
	}
	return nil
}

// Arm shows the check list and what will be done, asks for a word, and arms the
// machine. The position is confirmed, or a script answers for it.
func (c *Conversation) Arm(ctx context.Context, m *Connection, what, word string) error {
	c.Cautions()
	if !c.Quiet || c.Word == Unsaid {
		for _, line := range m.CheckList {
			c.Say("%s", line)
		}
		c.Say("%s", what)
	}
	if err := c.Consent(ctx, fmt.Sprintf("type `%s` to start, Enter alone not to: ", word), word, true); err != nil {
		return err
	}
	return c.Rearm(m)
}

// Rearm arms a machine for something that was agreed to before, also one that is
// armed but whose position is not as well known any more.
func (c *Conversation) Rearm(m *Connection) error {
	_, _, certainty := m.Where()
	switch {
	case certainty == link.Assumed && c.Word != Unsaid:
		m.Disarm()
		return m.ArmAssumed()
	case m.Mode() == link.Armed:
		return nil
	}
	return m.Arm()
}

// Wipe has the sheet wiped, by the eraser board after a word, or by the
// operator, and has somebody look where the stylus stands afterwards if that
// may have moved it. granted: the word for it was typed before.
func (c *Conversation) Wipe(ctx context.Context, m *Connection, granted bool) error {
	if m.Nobody || m.Wipe == nil && c.Alone {
		return &diag.Fault{Code: "eraser-none"}
	}
	if m.Wipe != nil && !granted {
		if err := c.Consent(ctx, "the eraser will turn the toy over; hands away. Type `wipe` to start it, Enter alone not to: ", "wipe", true); err != nil {
			return err
		}
	}
	if m.Disturbs {
		// From now on, whatever comes of it.
		if err := m.Doubt(); err != nil {
			return err
		}
	}
	if m.Wipe == nil {
		return c.WipeByHand(ctx)
	}
	c.Note("the sheet is being wiped; hands away from the frame")
	waiting, done := c.Interruptible(ctx)
	defer done()
	return m.Wipe(waiting)
}

// WipeByHand has the operator wipe the sheet, and waits for the word that it is
// done.
func (c *Conversation) WipeByHand(ctx context.Context) error {
	return c.Consent(ctx, "wipe the sheet now, then type `wiped`; Enter alone stops here: ", "wiped", false)
}

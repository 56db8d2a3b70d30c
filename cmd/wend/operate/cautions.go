package operate

// Cautions are shown before a drawing, a calibration or a wiping; the README
// has them too.
func Cautions() []string {
	return []string{
		"General information; local rules, the school's risk assessment and qualified people come first.",
		"Moving gears and a turning frame pinch: fingers, hair and sleeves away, one person at the controls, children supervised, never unattended. Power off before touching.",
		"While somebody wipes the sheet or brings the stylus by hand with the power on, the motors are live: they hold against the hand, and any command turns them; nobody else touches the controls. Cutting the motors' power frees the knobs and loses the position: afterwards say where the stylus stands.",
		"A software stop is no emergency stop (ISO 13850): fit a reachable switch that cuts motor power, test it before each use, and know what drops when the holding torque goes. It stays off until it is put back by hand, and restoring the power starts nothing.",
		"Use a ready-made low-voltage supply with a current limit or a fuse; drivers and motors get hot; never plug or unplug a motor on a live driver; set the current limit to the motor. No mains wiring by children.",
		"Soldering: a trained adult, ventilation, eye protection.",
		"Do not open or run a damaged toy: glass breaks, and fine metal powder is harmful to breathe and can burn. No flames, sparks or soldering iron near it, and never water on burning powder (from memory of International Chemical Safety Card 0988 for aluminium powder): follow the maker's instructions and a safety data sheet.",
	}
}

// reminder stands for the list where it was shown before, unshown where a quiet
// script wants one line.
const (
	reminder = "cautions, as shown before: " + briefly
	unshown  = "cautions: " + briefly
	briefly  = "never unattended; fingers, hair and sleeves away; a software stop is no emergency stop. `wend machine cautions` shows them all"
)

// Cautions shows what must be known before something moves: the whole list
// once, one line afterwards. A quiet script has the line always.
func (c *Conversation) Cautions() {
	switch {
	case c.Quiet && c.Word != Unsaid && c.cautioned:
	case c.Quiet && c.Word != Unsaid:
		c.Say("%s", unshown)
	case c.cautioned:
		c.Say("%s", reminder)
	case c.Cautioned != nil && c.Cautioned():
		c.Say("%s", reminder)
	default:
		for _, caution := range Cautions() {
			c.Say("  %s", caution)
		}
	}
	c.cautioned = true
}

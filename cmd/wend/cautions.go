package main

// cautions are shown before a drawing, a calibration or a wiping; the README
// has them too.
func cautions() []string {
	return []string{
		"General information; local rules, the school's risk assessment and qualified people come first.",
		"Moving gears and a turning frame pinch: fingers, hair and sleeves away, one person at the controls, children supervised, never unattended. Power off before touching.",
		"A software stop is no emergency stop (ISO 13850): fit a reachable switch that cuts motor power, test it before each use, and know what drops when the holding torque goes.",
		"Use a ready-made low-voltage supply with a current limit or a fuse; drivers and motors get hot; never plug or unplug a motor on a live driver; set the current limit to the motor. No mains wiring by children.",
		"Soldering: a trained adult, ventilation, eye protection.",
		"Do not open or run a damaged toy: glass breaks, and fine metal powder is harmful to breathe and can burn (International Chemical Safety Card 0988 for aluminium powder): follow the maker's instructions and a safety data sheet.",
	}
}

(wend: Gru-e -neu-.wend, sheet 1 of 2, seed 7)
(machine: desk toy, built in, for the simulated machine only)
(68 mm of line, about 2 s)
(before the first move the stylus must stand at x 10.00 y 10.00 mm of the page)
(bring it there, then wipe the sheet)
(slack compensated: each axis must have moved last to larger x and larger y)
(caution: nothing stops this machine at its edges. One person at the controls)
(with a power switch in reach, never unattended. A software stop is no)
(emergency stop. Hands, hair and sleeves away from gears and frame. Local)
(rules come first.)
G21 G90 G94 G17
G92 X15.2 Y15.2
G1 X34.17 F3600 (line 1)
G1 X35.19
G1 X35.16 Y18.2 (leaf.wend line 2)
M0 (MSG,Licht an- -ja-)
G1 X35.1 Y25.23 (line 4)
G1 X34.94 Y35.29
G1 X34.79 Y45.33
G1 X33.77
G1 X25.8
G1 X26.2
G1 X35.2
M0
M2

(two troughs with a ball-nose end mill, in the other planes)
G21 G90 G94 G40
G17
T12 M6
S2500 M3
G0 Z20
X10 Y12
Z1
G1 Z0 F80
G18 G2 X50 Z0 I20 K40 F200 (along x)
G0 Z5
G17
X30 Y25
Z1
G19
G1 Z0 F80
G3 Y35 Z0 J5 K15 F200 (along y)
G0 Z20
G17
M5
M30

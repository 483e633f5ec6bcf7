%
(Bearing seat: Seat)
G21 G90 G17 G94 G40 G49
T3 M6
S1500 M3
G0 Z20
X3 Y0
Z1
G1 Z0 F100
G3 X3 Y0 Z-2 I-3 J0 F150
X3 Z-4 I-3
X3 Z-6 I-3
X3 I-3 (clean the floor)
G1 X0
G0 Z1
X7 Y0
G1 Z0 F100
G3 X7 Y0 Z-2 I-7 J0 F200
X7 Z-4 I-7
X7 Z-6 I-7
X-7 Y0 R7 (half the floor)
X7 R7
X0 R3.5 (off the wall)
G0 Z20 (done)
M5
M30
%

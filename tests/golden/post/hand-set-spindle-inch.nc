(Polar axis plate: Top side)
(job file plate.toml)
(machine Bench mill, post rs274_full)
(units: inch)
(material: aluminium)
(stock: 3.1496 x 1.9685 x 0.315 in)
(side up: top)
(program zero: x left, y front, z top)
(work offset: G54)
(safe height: Z0.5906, clear of work and work-holding)
(G61: exact path, corners are not rounded)
(dwell P is in seconds)
(cutter T1: 6 mm slot drill, end mill, diameter 0.2362 in)
(cutter T2: 3.2 mm drill, drill, diameter 0.126 in)
(before cutting: dry run above the part, hand on the stop)
G17 G20 G90 G94 G40 G49 G80
G54 G61
(MSG, load cutter 1: 6 mm slot drill, set the spindle to 2000 rev/min, then touch off at Z0)
T1 M6
M0
G0 Z0.59055
S2000 M3
G4 P3
M7
(pocket: rough)
(helix in)
G0 X0.3937 Y0.3937
Z0.03937
G1 Z0 F2.36
G3 X0.3937 Y0.3937 Z-0.05906 I0.15748 J0 F3.15
X0.3937 Y0.3937 I0.15748 J0 F6.3
G1 X1.1811
G3 X1.33858 Y0.55118 I0 J0.15748
G1 Y0.79226
G0 Z0.59055
Z1.5748
M9
M5
(MSG, load cutter 2: 3.2 mm drill, set the spindle to 1800 rev/min, then touch off on the vise)
(MSG, jaw and set z to -8)
T2 M6
M0
G0 Z0.59055
S1800 M3
G4 P3
M7
(holes: drill)
G99 G83 X1.9685 Y0.3937 Z-0.37402 R0.07874 Q0.11811 F3.54
X2.3622
G80
G0 Z0.59055
G98 G81 X2.3622 Y1.1811 Z-0.15748 R0.07874
X2.75591
G80
M9
M5
(end)
M2

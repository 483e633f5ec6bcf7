(Polar axis plate: Top side)
(job file plate.toml)
(machine Bench mill, post rs274_full)
(units: mm)
(material: aluminium)
(stock: 80 x 50 x 8 mm)
(side up: top)
(program zero: x left, y front, z top)
(work offset: G54)
(safe height: Z15, clear of work and work-holding)
(G61: exact path, corners are not rounded)
(cutter T1: 6 mm slot drill, end mill, diameter 6 mm)
(cutter T2: 3.2 mm drill, drill, diameter 3.2 mm)
(before cutting: dry run above the part, hand on the stop)
G17 G21 G90 G94 G40 G49 G80
G54 G61
(MSG, load cutter 1: 6 mm slot drill, then touch off at Z0)
T1 M6
M0
G0 Z15
S2000 M3
(pocket: rough)
(helix in)
G0 X10 Y10
Z1
G1 Z0 F60
G3 X10 Y10 Z-1.5 I4 J0 F80
X10 Y10 I4 J0 F160
G1 X30
G3 X34 Y14 I0 J4
G1 Y20.1235
G0 Z15
Z40
M5
(MSG, load cutter 2: 3.2 mm drill, then touch off on the vise jaw and set z to -8)
T2 M6
M0
G0 Z15
S1800 M3
(holes: drill)
G99 G83 X50 Y10 Z-9.5 R2 Q3 F90
X60
G80
G0 Z15
G98 G81 X60 Y30 Z-4 R2
X70
G80
M5
(end)
M2

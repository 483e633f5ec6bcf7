(Polar axis plate: Top side)
(job file plate.toml)
(machine Bench mill, post motion_only)
(units: mm)
(material: aluminium)
(stock: 80 x 50 x 8 mm)
(side up: top)
(program zero: x left, y front, z top)
(no work offset: set zero on the control)
(safe height: Z15, clear of work and work-holding)
(set the control to: mm)
(set the control to: absolute distances)
(set the control to: XY plane, I and J from the start of the arc)
(set the control to: feed per minute)
(set the control to: no cutter compensation)
(set the control to: no tool length offset)
(set the control to: exact path, corners not rounded)
(first move: if Z misses the safe height, the units are wrong)
(cutter T2: 3.2 mm drill, drill, diameter 3.2 mm)
(before cutting: dry run above the part, hand on the stop)
(load cutter 2: 3.2 mm drill, set the spindle to 1800 rev/min, then)
(touch off on the vise jaw and set z to -8)
M0
G0 Z15.
S1800 M3
M7
(holes: drill)
G0 X50. Y10.
G1 Z16. F20
G0 Z15.
Z2.
G1 Z-1. F90
G0 Z2.
Z-0.5
G1 Z-4.
G0 Z2.
Z-3.5
G1 Z-7.
G0 Z2.
Z-6.5
G1 Z-9.5
G0 Z2.
X60.
G1 Z-1.
G0 Z2.
Z-0.5
G1 Z-4.
G0 Z2.
Z-3.5
G1 Z-7.
G0 Z2.
Z-6.5
G1 Z-9.5
G0 Z2.
Z15.
Y30.
Z2.
G1 Z-4.
G0 Z2.
Z15.
X70.
Z2.
G1 Z-4.
G0 Z2.
Z15.
(spot face: drill)
G0 X60. Y40.
Z2.
G1 Z-0.5 F60
Z-0.49 F1.2
G0 Z2.
Z15.
M9
M5
(end)
M2

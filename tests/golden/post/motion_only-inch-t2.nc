(Polar axis plate: Top side)
(job file plate.toml)
(machine Bench mill, post motion_only)
(units: inch)
(material: aluminium)
(stock: 3.1496 x 1.9685 x 0.315 in)
(side up: top)
(program zero: x left, y front, z top)
(no work offset: set zero on the control)
(safe height: Z0.5906, clear of work and work-holding)
(set the control to: inch)
(set the control to: absolute distances)
(set the control to: XY plane, I and J from the start of the arc)
(set the control to: feed per minute)
(set the control to: no cutter compensation)
(set the control to: no tool length offset)
(set the control to: exact path, corners not rounded)
(first move: if Z misses the safe height, the units are wrong)
(cutter T2: 3.2 mm drill, drill, diameter 0.126 in)
(before cutting: dry run above the part, hand on the stop)
(load cutter 2: 3.2 mm drill, set the spindle to 1800 rev/min, then)
(touch off on the vise jaw and set z to -8)
M0
G0 Z0.59055
S1800 M3
M7
(holes: drill)
G0 X1.9685 Y0.3937
G1 Z0.62992 F0.78
G0 Z0.59055
Z0.07874
G1 Z-0.03937 F3.54
G0 Z0.07874
Z-0.01969
G1 Z-0.15748
G0 Z0.07874
Z-0.1378
G1 Z-0.27559
G0 Z0.07874
Z-0.25591
G1 Z-0.37402
G0 Z0.07874
X2.3622
G1 Z-0.03937
G0 Z0.07874
Z-0.01969
G1 Z-0.15748
G0 Z0.07874
Z-0.1378
G1 Z-0.27559
G0 Z0.07874
Z-0.25591
G1 Z-0.37402
G0 Z0.07874
Z0.59055
Y1.1811
Z0.07874
G1 Z-0.15748
G0 Z0.07874
Z0.59055
X2.75591
Z0.07874
G1 Z-0.15748
G0 Z0.07874
Z0.59055
(spot face: drill)
G0 X2.3622 Y1.5748
Z0.07874
G1 Z-0.01969 F2.36
Z-0.01929 F0.04
G0 Z0.07874
Z0.59055
M9
M5
(end)
M2

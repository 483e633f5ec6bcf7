%
(a dividing plate, figured by the control)
n5 g21 g90 g17 g94 g40 g49 g80
n10 #1=24 (radius of the circle)
n15 #2=6 (holes)
n20 #3=[360/#2]
n25 #4=-7.5 (depth)
n30 t6 m6
n35 s2000 m3
n40 g0 z20
n45 x[#1] y0
n50 g99 g81 x[#1*cos[0]] y[#1*sin[0]] z#4 r2 f120
n55 x[#1*cos[#3]] y[#1*sin[#3]]
n60 x[#1*cos[2*#3]] y[#1*sin[2*#3]]
n65 x[#1*cos[3*#3]] y[#1*sin[3*#3]]
n70 x[#1*cos[4*#3]] y[#1*sin[4*#3]]
n75 g98 x[#1*cos[5*#3]] y[#1*sin[5*#3]]
n80 g80
n85 t1 m6
n90 s2200 m3
n95 g0 z20
n100 x0 y0
n105 z2
n110 g92 x10 y10 (here is 10, 10)
n115 g1 z-2 f80
n120 g91 x8 f240
n125 g3 x-8 y8 i-8
n130 g1 y-8
n135 g90 z2
n140 g92.1
/n145 m1
n150 g0 z20 m5
n155 m30
%

O0012
(Four-valve set, dish carried deeper)
(Control system-a, mm, X is a diameter, feed per revolution)
(One cut without a reading)
(Skim 0.300 mm)
(Dish 52.000 mm wide and 3.159 mm deep below the finished crown)
(7.600 cc after the cut)
(Insert RCGT 0803 M0, radius 4.000 mm)
(Programmed point: X of the insert's outer side, Z of its foremost)
(. point, tip towards +X -Z)
(Z: spindle stopped, touch the as-received crown at X 75.000 mm)
(. diameter, not over a pocket, set Z 0.300 mm)
(X: spindle stopped, insert's outer side on a square's blade laid)
(along the top land and standing proud of the crown by more than)
(4.000 mm, on the thrust side, opposite sides and their mean where)
(. oval, set X 82.000 mm diameter)
(Check: touched on diameter 82.000 mm the readout must show X =)
(82.000 mm diameter)
(Spindle clockwise seen from the headstock towards the work, the near)
(side comes down towards the operator [front tool, insert face up])
(The edge must stand on centre height)
(The machine manual and local rules come before this program)
(Whether the crown is strong enough is for the engine builder)
(Piston drawn to its seat, chuck key out, guard closed)
(Prove it above the work first, rapids and feed turned down)
G21
G18 G40 G99
G54
T0101
G50 S2000
G97 S854 M03
M08
G00 Z60.3
G00 X118.0
(Skim)
G00 Z1.3
G00 X95.17
G00 Z0.15
G96 S220
G01 X93.17 Z0.15 F0.36
G01 X58.623 Z0.15 F0.12
G01 X58.623 Z0.45 F0.36
G00 Z1.15
G00 X95.17
G00 Z0.0
G01 X93.17 Z0.0
G01 X57.997 Z0.0 F0.12
G01 X57.997 Z0.3 F0.36
G97 S854
G00 Z26.3
G00 X118.0
M09
M05
(Clear chips, look at the insert)
M01
G97 S854 M03
M08
(Dish roughing)
G00 Z1.3
G00 X54.329
G00 Z0.559
G96 S220
G01 X54.329 Z-0.441
G01 X55.732 Z-0.441 F0.12
G01 X55.132 Z-0.141 F0.36
G00 Z0.838
G00 X52.529
G00 Z0.192
G01 X52.529 Z-0.808
G01 X54.697 Z-0.808 F0.12
G01 X54.097 Z-0.508 F0.36
G00 Z0.616
G00 X50.174
G00 Z-0.174
G01 X50.174 Z-1.174
G01 X53.921 Z-1.174 F0.12
G01 X53.321 Z-0.874 F0.36
G00 Z0.385
G00 X45.948
G00 Z-0.541
G01 X45.948 Z-1.541
G01 X53.287 Z-1.541 F0.12
G01 X53.324 Z-1.534
G01 X52.724 Z-1.234 F0.36
G00 Z0.162
G00 X33.369
G00 Z-0.908
G01 X33.369 Z-1.908
G01 X51.101 Z-1.908 F0.12
G02 X53.242 Z-1.55 I-3.531 K12.336
G01 X52.642 Z-1.25 F0.36
G00 Z0.13
G00 X22.782
G00 Z-1.118
G01 X22.782 Z-2.118
G01 X18.208 Z-2.275 F0.12
G01 X47.666 Z-2.275
G02 X51.054 Z-1.915 I-1.816 K12.707
G01 X50.454 Z-1.615 F0.36
G00 Z-0.694
G00 X22.0
G00 Z-1.275
G01 X22.0 Z-2.275
G01 X8.0 Z-2.642 F0.12
G01 X36.568 Z-2.642
G02 X43.384 Z-2.416 I-12.543 K214.931
G03 X44.008 Z-2.404 I0.31 K-4.136
G02 X47.609 Z-2.279 I0.013 K12.836
G01 X47.009 Z-1.979 F0.36
G00 Z-1.161
G00 X21.742
G00 Z-1.642
G01 X21.742 Z-2.642
G01 X8.0 Z-3.002 F0.12
G01 X8.065 Z-3.002
G02 X36.431 Z-2.646 I1.691 K215.288
G01 X35.831 Z-2.346 F0.36
G97 S854
G00 Z26.3
G00 X118.0
M09
M05
(Clear chips, look at the insert)
M01
G97 S854 M03
M08
(Dish finishing contour)
G00 Z1.3
G00 X10.054
G00 Z-2.008
G96 S220
G01 X10.054 Z-3.008
G01 X8.0 Z-3.152 F0.12
G01 X8.063 Z-3.152
G02 X43.407 Z-2.565 I1.69 K215.435
G03 X44.008 Z-2.554 I0.296 K-3.987
G02 X53.515 Z-1.658 I0.014 K12.982
G01 X52.915 Z-1.358 F0.36
G97 S854
G00 Z60.3
G00 X118.0
M09
M05
M30

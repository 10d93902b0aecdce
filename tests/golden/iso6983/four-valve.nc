(program 12)
(Four-valve set, dish carried deeper)
(Control iso6983, mm, X is a diameter, feed per revolution)
(One cut without a reading)
(Skim 0.300 mm)
(Dish 52.000 mm wide and 3.174 mm deep below the finished crown)
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
G18 G21 G40 G90 G95
G54
T0101
G92 S2000
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
G01 X58.576 Z0.15 F0.12
G01 X58.576 Z0.45 F0.36
G00 Z1.15
G00 X95.17
G00 Z0.0
G01 X93.17 Z0.0
G01 X57.929 Z0.0 F0.12
G01 X57.929 Z0.3 F0.36
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
G00 X54.288
G00 Z0.567
G96 S220
G01 X54.288 Z-0.433
G01 X55.759 Z-0.433 F0.12
G01 X55.159 Z-0.133 F0.36
G00 Z0.843
G00 X52.498
G00 Z0.197
G01 X52.498 Z-0.803
G01 X54.708 Z-0.803 F0.12
G01 X54.108 Z-0.503 F0.36
G00 Z0.619
G00 X49.968
G00 Z-0.173
G01 X49.968 Z-1.173
G01 X53.923 Z-1.173 F0.12
G01 X53.323 Z-0.873 F0.36
G00 Z0.386
G00 X44.321
G00 Z-0.543
G01 X44.321 Z-1.543
G01 X53.201 Z-1.543 F0.12
G01 X53.357 Z-1.512
G01 X52.757 Z-1.212 F0.36
G00 Z0.176
G00 X35.283
G00 Z-0.913
G01 X35.283 Z-1.913
G01 X50.994 Z-1.913 F0.12
G02 X51.611 Z-1.839 I-2.974 K13.078
G02 X53.154 Z-1.552 I-6.312 K18.153
G01 X52.554 Z-1.252 F0.36
G00 Z0.096
G00 X23.39
G00 Z-1.129
G01 X23.39 Z-2.129
G01 X18.908 Z-2.284 F0.12
G01 X45.934 Z-2.284
G01 X48.086 Z-2.161
G02 X50.946 Z-1.919 I-1.52 K13.327
G01 X50.346 Z-1.619 F0.36
G00 Z-0.708
G00 X22.128
G00 Z-1.284
G01 X22.128 Z-2.284
G01 X8.0 Z-2.654 F0.12
G01 X38.403 Z-2.654
G02 X43.067 Z-2.447 I-3.274 K50.152
G01 X45.864 Z-2.288
G01 X45.264 Z-1.988 F0.36
G00 Z-1.208
G00 X22.128
G00 Z-1.654
G01 X22.128 Z-2.654
G01 X8.0 Z-3.024 F0.12
G02 X17.909 Z-2.997 I0.047 K445.528
G02 X27.684 Z-2.876 I-2.045 K181.452
G01 X35.692 Z-2.724
G02 X38.279 Z-2.658 I-1.914 K50.222
G01 X37.679 Z-2.358 F0.36
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
G00 X10.153
G00 Z-2.023
G96 S220
G01 X10.153 Z-3.023
G01 X8.0 Z-3.174 F0.12
G02 X17.912 Z-3.147 I0.048 K445.678
G02 X27.696 Z-3.026 I-2.042 K181.602
G01 X35.704 Z-2.874
G02 X43.101 Z-2.596 I-1.924 K50.372
G01 X48.12 Z-2.31
G02 X51.697 Z-1.983 I-1.538 K13.475
G02 X53.548 Z-1.635 I-6.353 K18.297
G01 X52.948 Z-1.335 F0.36
G97 S854
G00 Z60.3
G00 X118.0
M09
M05
M30

O0012
(Four-valve set, dish carried deeper)
(Dialect system-a, mm, X is a diameter, feed per revolution)
(Stage whole)
(Skim 0.300 mm)
(Dish 52.000 mm wide and 3.159 mm deep below the finished crown)
(7.600 cc after the cut)
(Insert RCGT 0803 M0, radius 4.000 mm)
(Control point: X of the insert's outer side, Z of its foremost)
(. point, tip number 2)
(Z: spindle stopped, touch the as-received crown at X 75.000 mm)
(. diameter, not over a pocket, set Z 0.300 mm)
(X: spindle stopped, insert's outer side on a square's blade laid)
(along the top land and standing proud of the crown by more than)
(4.000 mm, on the thrust side, opposite sides and their mean where)
(. oval, set X 82.000 mm diameter)
(Proof: touched on diameter 82.000 mm the readout must show X =)
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
G00 Z1.3
G00 X95.17
G00 Z0.0
G01 X93.17 Z0.0
G01 X57.997 Z0.0 F0.12
G01 X57.997 Z0.3 F0.36
G00 Z1.3
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
G00 X54.214
G00 Z0.533
G96 S220
G01 X54.214 Z-0.467
G01 X55.647 Z-0.467 F0.12
G01 X55.047 Z-0.167 F0.36
G00 Z1.3
G00 X52.241
G00 Z0.141
G01 X52.241 Z-0.859
G01 X54.575 Z-0.859 F0.12
G01 X53.975 Z-0.559 F0.36
G00 Z1.3
G00 X49.548
G00 Z-0.252
G01 X49.548 Z-1.252
G01 X53.781 Z-1.252 F0.12
G01 X53.181 Z-0.952 F0.36
G00 Z1.3
G00 X41.901
G00 Z-0.644
G01 X41.901 Z-1.644
G01 X52.735 Z-1.644 F0.12
G02 X53.324 Z-1.534 I-4.344 K12.079
G01 X52.724 Z-1.234 F0.36
G00 Z1.3
G00 X27.676
G00 Z-1.037
G01 X27.676 Z-2.037
G01 X50.13 Z-2.037 F0.12
G02 X52.689 Z-1.652 I-3.053 K12.465
G01 X52.089 Z-1.352 F0.36
G00 Z1.3
G00 X17.893
G00 Z-1.17
G01 X17.893 Z-2.17
G01 X8.0 Z-2.43 F0.12
G01 X43.003 Z-2.43
G01 X43.384 Z-2.416
G03 X44.008 Z-2.404 I0.315 K-4.136
G02 X50.082 Z-2.043 I0.014 K12.836
G01 X49.482 Z-1.743 F0.36
G00 Z1.3
G00 X22.983
G00 Z-1.43
G01 X22.983 Z-2.43
G01 X8.0 Z-2.822 F0.12
G01 X29.362 Z-2.822
G02 X42.894 Z-2.434 I-8.941 K215.106
G01 X42.294 Z-2.134 F0.36
G00 Z1.3
G00 X14.86
G00 Z-1.822
G01 X14.86 Z-2.822
G01 X8.0 Z-3.002 F0.12
G01 X8.065 Z-3.002
G02 X29.169 Z-2.826 I1.687 K215.285
G01 X28.569 Z-2.526 F0.36
G00 Z1.3
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
G00 X13.567
G00 Z-2.006
G96 S220
G01 X13.567 Z-3.006
G01 X8.0 Z-3.152 F0.12
G01 X8.063 Z-3.152
G02 X43.407 Z-2.565 I1.69 K215.435
G03 X44.008 Z-2.554 I0.296 K-3.987
G02 X53.515 Z-1.658 I0.014 K12.983
G01 X52.915 Z-1.358 F0.36
G00 Z1.3
G97 S854
G00 Z60.3
G00 X118.0
M09
M05
M30

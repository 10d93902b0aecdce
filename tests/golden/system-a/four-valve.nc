O0012
(Four-valve set, dish carried deeper)
(Dialect system-a, mm, X is a diameter, feed per revolution)
(Stage whole)
(Skim 0.300 mm, dish 52.000 mm wide and 3.159 mm deep)
(7.600 cc after the cut)
(Insert RCGT 0803 M0, radius 4.000 mm)
(Control point: X of the insert's outer side, Z of its foremost)
(- point, tip number 2)
(Z: spindle stopped, touch the as-received crown at X 75.000 mm)
(- diameter, not over a pocket, set Z 0.300 mm)
(X: spindle stopped, insert's outer side on a square's blade laid)
(along the top land and standing proud of the crown by more than)
(4.000 mm, on the thrust side, opposite sides and their mean where)
(- oval, set X 82.000 mm diameter)
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
M09
M05
(Clear chips, look at the insert)
M01
G97 S854 M03
M08
(Dish roughing)
G00 Z1.3
G00 X54.182
G00 Z0.526
G96 S220
G01 X54.182 Z-0.474
G01 X55.624 Z-0.474 F0.12
G03 X57.208 Z-0.092 I2.188 K-3.524
G01 X56.608 Z0.208 F0.36
G00 Z1.3
G00 X52.204
G00 Z0.134
G01 X52.204 Z-0.866
G01 X54.56 Z-0.866 F0.12
G03 X55.58 Z-0.487 I2.724 K-3.133
G01 X54.98 Z-0.187 F0.36
G00 Z1.3
G00 X49.501
G00 Z-0.257
G01 X49.501 Z-1.257
G01 X53.771 Z-1.257 F0.12
G03 X54.537 Z-0.876 I3.11 K-2.743
G01 X53.937 Z-0.576 F0.36
G00 Z1.3
G00 X41.768
G00 Z-0.649
G01 X41.768 Z-1.649
G01 X52.708 Z-1.649 F0.12
G02 X53.324 Z-1.534 I-4.335 K12.08
G03 X53.753 Z-1.267 I3.338 K-2.462
G01 X53.153 Z-0.967 F0.36
G00 Z1.3
G00 X27.469
G00 Z-1.041
G01 X27.469 Z-2.041
G01 X50.097 Z-2.041 F0.12
G02 X52.652 Z-1.659 I-3.033 K12.47
G01 X52.052 Z-1.359 F0.36
G00 Z1.3
G00 X18.068
G00 Z-1.169
G01 X18.068 Z-2.169
G01 X8.0 Z-2.433 F0.12
G01 X42.917 Z-2.433
G01 X43.384 Z-2.416
G03 X44.008 Z-2.404 I0.315 K-4.136
G02 X50.014 Z-2.051 I0.014 K12.832
G01 X49.414 Z-1.751 F0.36
G00 Z1.3
G00 X22.952
G00 Z-1.433
G01 X22.952 Z-2.433
G01 X8.0 Z-2.825 F0.12
G01 X29.247 Z-2.825
G02 X42.643 Z-2.443 I-8.908 K215.108
G01 X42.043 Z-2.143 F0.36
G00 Z1.3
G00 X14.769
G00 Z-1.825
G01 X14.769 Z-2.825
G01 X8.0 Z-3.002 F0.12
G01 X8.065 Z-3.002
G02 X28.757 Z-2.835 I1.699 K215.289
G01 X28.157 Z-2.535 F0.36
G00 Z1.3
G97 S854
G00 Z26.3
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
G03 X60.0 Z0.0 I3.242 K-2.341
G01 X60.0 Z0.3 F0.36
G00 Z1.3
G97 S854
G00 Z60.3
G00 X118.0
M09
M05
M30

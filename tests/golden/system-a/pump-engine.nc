(Pump engine, four pistons)
(Control system-a, mm, X is a diameter, feed per revolution)
(One cut without a reading)
(Skim 0.500 mm)
(Dish 68.000 mm wide and 3.038 mm deep below the finished crown)
(11.600 cc after the cut)
(Insert RCGT 10T3 M0, radius 5.000 mm)
(Programmed point: X of the insert's outer side, Z of its foremost)
(. point, tip towards +X -Z)
(Z: spindle stopped, touch the as-received crown at X 87.200 mm)
(. diameter, not over a pocket, set Z 0.500 mm)
(X: spindle stopped, insert's outer side on a square's blade laid)
(along the top land and standing proud of the crown by more than)
(5.000 mm, on the thrust side, opposite sides and their mean where)
(. oval, set X 90.400 mm diameter)
(Check: touched on diameter 90.400 mm the readout must show X =)
(90.400 mm diameter)
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
G50 S1800
G97 S880 M03
M08
G00 Z60.5
G00 X130.4
(Skim)
G00 Z1.5
G00 X106.522
G00 Z0.25
G96 S250
G01 X104.522 Z0.25 F0.3
G01 X70.909 Z0.25 F0.1
G01 X70.909 Z0.55 F0.3
G00 Z1.25
G00 X106.522
G00 Z0.0
G01 X104.522 Z0.0
G01 X69.474 Z0.0 F0.1
G01 X69.474 Z0.3 F0.3
(Break the edge)
G00 Z1.0
G00 X99.663
G01 X99.663 Z0.0
G03 X106.671 Z-1.464 I-0.032 K-5.002 F0.1
G01 X107.471 Z-1.864
G01 X108.071 Z-1.564 F0.3
G97 S880
G00 Z26.5
G00 X130.4
M09
M05
(Clear chips, look at the insert)
M01
G97 S880 M03
M08
(Dish roughing)
G00 Z1.5
G00 X64.988
G00 Z0.519
G96 S250
G01 X64.988 Z-0.481
G01 X73.059 Z-0.481 F0.1
G01 X72.459 Z-0.181 F0.3
G00 Z0.788
G00 X62.033
G00 Z0.037
G01 X62.033 Z-0.963
G01 X71.606 Z-0.963 F0.1
G01 X71.006 Z-0.663 F0.3
G00 Z0.465
G00 X58.883
G00 Z-0.444
G01 X58.883 Z-1.444
G01 X70.55 Z-1.444 F0.1
G01 X69.95 Z-1.144 F0.3
G00 Z0.132
G00 X55.498
G00 Z-0.925
G01 X55.498 Z-1.925
G01 X69.737 Z-1.925 F0.1
G01 X69.137 Z-1.625 F0.3
G00 Z-0.194
G00 X51.822
G00 Z-1.407
G01 X51.822 Z-2.407
G01 X69.101 Z-2.407 F0.1
G01 X68.501 Z-2.107 F0.3
G00 Z-0.504
G00 X47.772
G00 Z-1.888
G01 X47.772 Z-2.888
G01 X68.606 Z-2.888 F0.1
G01 X68.006 Z-2.588 F0.3
G97 S880
G00 Z26.5
G00 X130.4
M09
M05
(Clear chips, look at the insert)
M01
G97 S880 M03
M08
(Dish finishing contour)
G00 Z1.5
G00 X46.414
G00 Z-2.038
G96 S250
G01 X46.414 Z-3.038
G01 X68.802 Z-3.038 F0.1
G01 X68.202 Z-2.738 F0.3
G97 S880
G00 Z60.5
G00 X130.4
M09
M05
M30

(Tractor pair, by hand on the readout)
(Control system-a, inch, X is a diameter, feed per revolution)
(One cut without a reading)
(Skim 0.254 mm)
(Dish 66.675 mm wide and 5.152 mm deep below the finished crown)
(17.000 cc after the cut)
(Insert RCMT 0903 00, radius 4.763 mm)
(Programmed point: X of the insert's outer side, Z of its foremost)
(. point, tip towards +X -Z)
(Z: spindle stopped, touch the as-received crown at X 3.5500 in)
(. diameter, not over a pocket, set Z 0.0100 in)
(X: spindle stopped, insert's outer side on a square's blade laid)
(along the top land and standing proud of the crown by more than)
(0.1875 in, on the thrust side, opposite sides and their mean where)
(. oval, set X 3.8480 in diameter)
(Check: touched on diameter 3.8480 in the readout must show X =)
(3.8480 in diameter)
(Spindle clockwise seen from the headstock towards the work, the near)
(side comes down towards the operator [front tool, insert face up])
(The edge must stand on centre height)
(The machine manual and local rules come before this program)
(Whether the crown is strong enough is for the engine builder)
(Piston drawn to its seat, chuck key out, guard closed)
(Prove it above the work first, rapids and feed turned down)
G20
G18 G40 G99
G54
T0101
G97 S280 M03
G00 Z2.3722
G00 X5.3874
(Skim)
G00 Z0.0494
G00 X4.4291
G00 Z0.005
G01 X4.3504 Z0.005 F0.027
G01 X2.8514 Z0.005 F0.009
G01 X2.8514 Z0.0168 F0.027
G00 Z0.0444
G00 X4.4291
G00 Z0.0
G01 X4.3504 Z0.0
G01 X2.8514 Z0.0 F0.009
G01 X2.8514 Z0.0118 F0.027
G00 Z1.0336
G00 X5.3874
M09
M05
(Clear chips, look at the insert)
M01
G97 S280 M03
(Dish roughing)
G00 Z0.0494
G00 X2.6841
G00 Z0.0197
G01 X2.6841 Z-0.0197
G01 X2.8077 Z-0.0197 F0.009
G01 X2.7841 Z-0.0079 F0.027
G00 Z0.0308
G00 X2.6779
G00 Z0.0
G01 X2.6779 Z-0.0394
G01 X2.7513 Z-0.0394 F0.009
G01 X2.7276 Z-0.0276 F0.027
G00 Z0.0177
G00 X2.6556
G00 Z-0.0197
G01 X2.6556 Z-0.0591
G01 X2.7108 Z-0.0591 F0.009
G01 X2.6872 Z-0.0473 F0.027
G00 Z0.0044
G00 X2.6311
G00 Z-0.0394
G01 X2.6311 Z-0.0788
G01 X2.6801 Z-0.0788 F0.009
G01 X2.6565 Z-0.067 F0.027
G00 Z-0.0085
G00 X2.6071
G00 Z-0.0591
G01 X2.6071 Z-0.0985
G01 X2.6566 Z-0.0985 F0.009
G01 X2.633 Z-0.0866 F0.027
G00 Z-0.0206
G00 X2.5815
G00 Z-0.0788
G01 X2.5815 Z-0.1181
G01 X2.6389 Z-0.1181 F0.009
G01 X2.6153 Z-0.1063 F0.027
G00 Z-0.0313
G00 X2.564
G00 Z-0.0906
G01 X2.564 Z-0.13
G01 X2.2648 Z-0.1378 F0.009
G01 X2.6262 Z-0.1378
G01 X2.6025 Z-0.126 F0.027
G00 Z-0.0401
G00 X1.4257
G00 Z-0.0906
G01 X1.4257 Z-0.13
G01 X0.3751 Z-0.1575 F0.009
G01 X2.6179 Z-0.1575
G01 X2.5942 Z-0.1457 F0.027
G00 Z-0.0464
G00 X1.1265
G00 Z-0.1182
G01 X1.1265 Z-0.1575
G01 X0.3751 Z-0.1772 F0.009
G01 X2.6137 Z-0.1772
G01 X2.5901 Z-0.1654 F0.027
G00 Z-0.0498
G00 X1.1265
G00 Z-0.1379
G01 X1.1265 Z-0.1772
G01 X0.3751 Z-0.1969 F0.009
G01 X2.6132 Z-0.1969
G01 X2.6132 Z-0.1875
G01 X2.5896 Z-0.1757 F0.027
G00 Z1.0336
G00 X5.3874
M09
M05
(Clear chips, look at the insert)
M01
G97 S280 M03
(Dish finishing contour)
G00 Z0.0494
G00 X0.459
G00 Z-0.1575
G01 X0.459 Z-0.1969
G01 X0.3751 Z-0.2028 F0.009
G01 X2.625 Z-0.2028
G01 X2.625 Z-0.1875
G01 X2.6014 Z-0.1757 F0.027
G00 Z2.3722
G00 X5.3874
M09
M05
M30

(Tractor pair, by hand on the readout)
(Control rs274ngc, inch, X is a radius, feed per minute)
(One cut without a reading)
(Skim 0.254 mm)
(Dish 66.675 mm wide and 5.152 mm deep below the finished crown)
(17.000 cc after the cut)
(Insert RCMT 0903 00, radius 4.763 mm)
(Programmed point: X of the insert's outer side, Z of its foremost)
(. point, tip towards +X -Z)
(Z: spindle stopped, touch the as-received crown at X 1.77500 in)
(. radius, not over a pocket, set Z 0.01000 in)
(X: spindle stopped, insert's outer side on a square's blade laid)
(along the top land and standing proud of the crown by more than)
(0.18750 in, on the thrust side, opposite sides and their mean where)
(. oval, set X 1.92400 in radius)
(Check: touched on diameter 3.84800 in the readout must show X =)
(1.92400 in radius)
(Spindle clockwise seen from the headstock towards the work, the near)
(side comes down towards the operator [front tool, insert face up])
(The edge must stand on centre height)
(The machine manual and local rules come before this program)
(Whether the crown is strong enough is for the engine builder)
(Piston drawn to its seat, chuck key out, guard closed)
(Prove it above the work first, rapids and feed turned down)
G18 G20 G40 G90 G94
G54
T0101
(Check: touched on diameter 3.84800 in the readout must show X =)
(1.92400 in radius)
M00
S280 M03
G00 Z2.3722
G00 X2.6937
(Skim)
G00 Z0.04937
G00 X2.21457
G00 Z0.005
G01 X2.1752 Z0.005 F7.56
G01 X1.42569 Z0.005 F2.52
G01 X1.42569 Z0.01681 F7.56
G00 Z0.04437
G00 X2.21457
G00 Z0.0
G01 X2.1752 Z0.0
G01 X1.42569 Z0.0 F2.52
G01 X1.42569 Z0.01181 F7.56
G00 Z1.03362
G00 X2.6937
M09
M05
(Clear chips, look at the insert)
M01
S280 M03
(Dish roughing)
G00 Z0.04937
G00 X1.34204
G00 Z0.01968
G01 X1.34204 Z-0.01969
G01 X1.40384 Z-0.01969 F2.52
G01 X1.39203 Z-0.00788 F7.56
G00 Z0.03079
G00 X1.33896
G00 Z-0.00001
G01 X1.33896 Z-0.03938
G01 X1.37563 Z-0.03938 F2.52
G01 X1.36382 Z-0.02757 F7.56
G00 Z0.01775
G00 X1.3278
G00 Z-0.0197
G01 X1.3278 Z-0.05907
G01 X1.35539 Z-0.05907 F2.52
G01 X1.34358 Z-0.04726 F7.56
G00 Z0.00439
G00 X1.31554
G00 Z-0.0394
G01 X1.31554 Z-0.07877
G01 X1.34005 Z-0.07877 F2.52
G01 X1.32824 Z-0.06695 F7.56
G00 Z-0.00855
G00 X1.30355
G00 Z-0.05909
G01 X1.30355 Z-0.09846
G01 X1.32831 Z-0.09846 F2.52
G01 X1.3165 Z-0.08665 F7.56
G00 Z-0.0206
G00 X1.29077
G00 Z-0.07878
G01 X1.29077 Z-0.11815
G01 X1.31946 Z-0.11815 F2.52
G01 X1.30765 Z-0.10634 F7.56
G00 Z-0.03129
G00 X1.28201
G00 Z-0.09063
G01 X1.28201 Z-0.13
G01 X1.13241 Z-0.13784 F2.52
G01 X1.31308 Z-0.13784
G01 X1.30127 Z-0.12603 F7.56
G00 Z-0.04009
G00 X0.71283
G00 Z-0.09063
G01 X0.71283 Z-0.13
G01 X0.18751 Z-0.15753 F2.52
G01 X1.30893 Z-0.15753
G01 X1.29712 Z-0.14572 F7.56
G00 Z-0.04644
G00 X0.56323
G00 Z-0.11816
G01 X0.56323 Z-0.15753
G01 X0.18751 Z-0.17722 F2.52
G01 X1.30687 Z-0.17722
G01 X1.29506 Z-0.16541 F7.56
G00 Z-0.04982
G00 X0.56323
G00 Z-0.13785
G01 X0.56323 Z-0.17722
G01 X0.18751 Z-0.19691 F2.52
G01 X1.30659 Z-0.19691
G01 X1.30659 Z-0.1875
G01 X1.29478 Z-0.17569 F7.56
G00 Z1.03362
G00 X2.6937
M09
M05
(Clear chips, look at the insert)
M01
S280 M03
(Dish finishing contour)
G00 Z0.04937
G00 X0.22952
G00 Z-0.15754
G01 X0.22952 Z-0.19691
G01 X0.18751 Z-0.20282 F2.52
G01 X1.3125 Z-0.20282
G01 X1.3125 Z-0.1875
G01 X1.30069 Z-0.17569 F7.56
G00 Z2.3722
G00 X2.6937
M09
M05
M02

(program 12)
(Four-valve set, dish carried deeper)
(Dialect rs274ngc, mm, X is a radius, feed per minute)
(Stage whole)
(Skim 0.300 mm, dish 52.000 mm wide and 3.159 mm deep)
(7.600 cc after the cut)
(Insert RCGT 0803 M0, radius 4.000 mm)
(Control point: X of the insert's outer side, Z of its foremost)
(- point, tip number 2)
(Z: spindle stopped, touch the as-received crown at X 37.5000 mm)
(- radius, not over a pocket, set Z 0.3000 mm)
(X: spindle stopped, insert's outer side on a square's blade laid)
(along the top land and standing proud of the crown by more than)
(4.0000 mm, on the thrust side, opposite sides and their mean where)
(- oval, set X 41.0000 mm radius)
(Proof: touched on diameter 82.0000 mm the readout must show X =)
(41.0000 mm radius)
(Spindle clockwise seen from the headstock towards the work, the near)
(side comes down towards the operator [front tool, insert face up])
(The edge must stand on centre height)
(The machine manual and local rules come before this program)
(Whether the crown is strong enough is for the engine builder)
(Piston drawn to its seat, chuck key out, guard closed)
(Prove it above the work first, rapids and feed turned down)
G18 G21 G40 G90 G94
G54
T0101
(Proof: touched on diameter 82.0000 mm the readout must show X =)
(41.0000 mm radius)
M00
S854 M03
M08
G00 Z60.3
G00 X59.0
(Skim)
G00 Z1.3
G00 X47.5851
G00 Z0.15
S735
G01 X46.5851 Z0.15 F264.6
G01 X29.3117 Z0.15 F88.2
G01 X29.3117 Z0.45 F264.6
G00 Z1.3
G00 X47.5851
G00 Z0.0
G01 X46.5851 Z0.0
G01 X28.9986 Z0.0 F88.2
G01 X28.9986 Z0.3 F264.6
G00 Z1.3
S854
G00 Z26.3
M09
M05
(Clear chips, look at the insert)
M01
S854 M03
M08
(Dish roughing)
G00 Z1.3
G00 X27.0909
G00 Z0.5263
S1224
G01 X27.0909 Z-0.4737 F440.64
G01 X27.8119 Z-0.4737 F146.88
G03 X28.6039 Z-0.0919 I2.1879 K-3.5262
G01 X28.3039 Z0.2081 F440.64
G00 Z1.3
G00 X26.1022
G00 Z0.1345
G01 X26.1022 Z-0.8655
G01 X27.2802 Z-0.8655 F146.88
G03 X27.7899 Z-0.4874 I2.7203 K-3.1345
G01 X27.4899 Z-0.1874 F440.64
G00 Z1.3
G00 X24.7503
G00 Z-0.2573
G01 X24.7503 Z-1.2573
G01 X26.8855 Z-1.2573 F146.88
G03 X27.2687 Z-0.8755 I3.1147 K-2.7429
G01 X26.9687 Z-0.5755 F440.64
G00 Z1.3
G00 X20.8839
G00 Z-0.6491
G01 X20.8839 Z-1.6491
G01 X26.354 Z-1.6491 F146.88
G02 X26.6621 Z-1.5341 I-4.3335 K12.0802
G03 X26.8767 Z-1.2673 I3.3381 K-2.4653
G01 X26.5767 Z-0.9673 F440.64
G00 Z1.3
G00 X13.7347
G00 Z-1.0409
G01 X13.7347 Z-2.0409
G01 X25.0486 Z-2.0409 F146.88
G02 X26.3261 Z-1.6591 I-3.0312 K12.4705
G01 X26.0261 Z-1.3591 F440.64
G00 Z1.3
G00 X9.0342
G00 Z-1.1689
G01 X9.0342 Z-2.1689
G01 X4.0 Z-2.4328 F146.88
G01 X21.4584 Z-2.4328
G02 X21.6921 Z-2.4155 I-15.7771 K214.7151
G03 X22.0042 Z-2.4041 I0.3074 K-4.1384
G02 X25.0071 Z-2.0509 I0.0127 K12.8339
G01 X24.7071 Z-1.7509 F440.64
G00 Z1.3
G00 X11.4762
G00 Z-1.4328
G01 X11.4762 Z-2.4328
G01 X4.0 Z-2.8246 F146.88
G01 X14.6234 Z-2.8246
G02 X21.3214 Z-2.4428 I-8.9018 K215.1098
G01 X21.0214 Z-2.1428 F440.64
G00 Z1.3
G00 X7.3846
G00 Z-1.8246
G01 X7.3846 Z-2.8246
G01 X4.0 Z-3.0019 F146.88
G03 X4.0325 Z-3.0021 I-0.0093 K-4.1502
G02 X14.3784 Z-2.8346 I1.6888 K215.2877
G01 X14.0784 Z-2.5346 F440.64
G00 Z1.3
S854
G00 Z26.3
M09
M05
(Clear chips, look at the insert)
M01
S854 M03
M08
(Dish finishing contour)
G00 Z1.3
G00 X6.7833
G00 Z-2.0061
S1167
G01 X6.7833 Z-3.0061 F420.12
G01 X4.0 Z-3.1519 F140.04
G03 X4.0314 Z-3.1521 I-0.0098 K-4.0002
G02 X21.7033 Z-2.5651 I1.6896 K215.4376
G03 X22.0041 Z-2.5541 I0.2965 K-3.9892
G02 X26.7574 Z-1.6579 I0.0131 K12.984
G03 X30.0 Z0.0 I3.2426 K-2.3421
G01 X30.0 Z0.3 F420.12
G00 Z1.3
S854
G00 Z60.3
G00 X59.0
M09
M05
M02

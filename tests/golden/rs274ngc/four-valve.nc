(program 12)
(Four-valve set, dish carried deeper)
(Dialect rs274ngc, mm, X is a radius, feed per minute)
(Stage whole)
(Skim 0.300 mm)
(Dish 52.000 mm wide and 3.159 mm deep below the finished crown)
(7.600 cc after the cut)
(Insert RCGT 0803 M0, radius 4.000 mm)
(Control point: X of the insert's outer side, Z of its foremost)
(. point, tip number 2)
(Z: spindle stopped, touch the as-received crown at X 37.5000 mm)
(. radius, not over a pocket, set Z 0.3000 mm)
(X: spindle stopped, insert's outer side on a square's blade laid)
(along the top land and standing proud of the crown by more than)
(4.0000 mm, on the thrust side, opposite sides and their mean where)
(. oval, set X 41.0000 mm radius)
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
G00 X59.0
M09
M05
(Clear chips, look at the insert)
M01
S854 M03
M08
(Dish roughing)
G00 Z1.3
G00 X27.107
G00 Z0.5334
S1258
G01 X27.107 Z-0.4666 F452.88
G01 X27.8235 Z-0.4666 F150.96
G01 X27.5235 Z-0.1666 F452.88
G00 Z1.3
G00 X26.1203
G00 Z0.1408
G01 X26.1203 Z-0.8592
G01 X27.2875 Z-0.8592 F150.96
G01 X26.9875 Z-0.5592 F452.88
G00 Z1.3
G00 X24.7742
G00 Z-0.2518
G01 X24.7742 Z-1.2518
G01 X26.8904 Z-1.2518 F150.96
G01 X26.5904 Z-0.9518 F452.88
G00 Z1.3
G00 X20.9504
G00 Z-0.6444
G01 X20.9504 Z-1.6444
G01 X26.3673 Z-1.6444 F150.96
G02 X26.6621 Z-1.5341 I-4.3496 K12.0743
G01 X26.3621 Z-1.2341 F452.88
G00 Z1.3
G00 X13.8382
G00 Z-1.037
G01 X13.8382 Z-2.037
G01 X25.0649 Z-2.037 F150.96
G02 X26.3447 Z-1.6525 I-3.0478 K12.4667
G01 X26.0447 Z-1.3525 F452.88
G00 Z1.3
G00 X8.9467
G00 Z-1.1703
G01 X8.9467 Z-2.1703
G01 X4.0 Z-2.4296 F150.96
G01 X21.5017 Z-2.4296
G02 X21.6921 Z-2.4155 I-15.8048 K214.7134
G03 X22.0042 Z-2.4041 I0.3074 K-4.1384
G02 X25.0412 Z-2.0427 I0.0128 K12.8337
G01 X24.7412 Z-1.7427 F452.88
G00 Z1.3
G00 X11.4913
G00 Z-1.4296
G01 X11.4913 Z-2.4296
G01 X4.0 Z-2.8222 F150.96
G01 X14.6808 Z-2.8222
G02 X21.4472 Z-2.4336 I-8.9595 K215.1078
G01 X21.1472 Z-2.1336 F452.88
G00 Z1.3
G00 X7.4301
G00 Z-1.8222
G01 X7.4301 Z-2.8222
G01 X4.0 Z-3.0019 F150.96
G03 X4.0325 Z-3.0021 I-0.0093 K-4.1502
G02 X14.5843 Z-2.8262 I1.6885 K215.2873
G01 X14.2843 Z-2.5262 F452.88
G00 Z1.3
S854
G00 Z26.3
G00 X59.0
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
S1308
G01 X6.7833 Z-3.0061 F470.88
G01 X4.0 Z-3.1519 F156.96
G03 X4.0314 Z-3.1521 I-0.0098 K-4.0002
G02 X21.7033 Z-2.5651 I1.6896 K215.4376
G03 X22.0041 Z-2.5541 I0.2965 K-3.9892
G02 X26.7574 Z-1.6579 I0.0131 K12.984
G01 X26.4574 Z-1.3579 F470.88
G00 Z1.3
S854
G00 Z60.3
G00 X59.0
M09
M05
M02

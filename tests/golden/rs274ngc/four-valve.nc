(program 12)
(Four-valve set, dish carried deeper)
(Control rs274ngc, mm, X is a radius, feed per minute)
(One cut without a reading)
(Skim 0.300 mm)
(Dish 52.000 mm wide and 3.159 mm deep below the finished crown)
(7.600 cc after the cut)
(Insert RCGT 0803 M0, radius 4.000 mm)
(Programmed point: X of the insert's outer side, Z of its foremost)
(. point, tip towards +X -Z)
(Z: spindle stopped, touch the as-received crown at X 37.5000 mm)
(. radius, not over a pocket, set Z 0.3000 mm)
(X: spindle stopped, insert's outer side on a square's blade laid)
(along the top land and standing proud of the crown by more than)
(4.0000 mm, on the thrust side, opposite sides and their mean where)
(. oval, set X 41.0000 mm radius)
(Check: touched on diameter 82.0000 mm the readout must show X =)
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
(Check: touched on diameter 82.0000 mm the readout must show X =)
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
G00 Z1.15
G00 X47.5851
G00 Z0.0
G01 X46.5851 Z0.0
G01 X28.9986 Z0.0 F88.2
G01 X28.9986 Z0.3 F264.6
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
G00 X27.1644
G00 Z0.5592
S1256
G01 X27.1644 Z-0.4408 F452.16
G01 X27.8659 Z-0.4408 F150.72
G01 X27.5659 Z-0.1408 F452.16
G00 Z0.8384
G00 X26.2643
G00 Z0.1924
G01 X26.2643 Z-0.8076
G01 X27.3483 Z-0.8076 F150.72
G01 X27.0483 Z-0.5076 F452.16
G00 Z0.616
G00 X25.0871
G00 Z-0.1745
G01 X25.0871 Z-1.1745
G01 X26.9604 Z-1.1745 F150.72
G01 X26.6604 Z-0.8745 F452.16
G00 Z0.3849
G00 X22.9739
G00 Z-0.5413
G01 X22.9739 Z-1.5413
G01 X26.6433 Z-1.5413 F150.72
G01 X26.6621 Z-1.5341
G01 X26.3621 Z-1.2341 F452.16
G00 Z0.1623
G00 X16.6843
G00 Z-0.9082
G01 X16.6843 Z-1.9082
G01 X25.5504 Z-1.9082 F150.72
G02 X26.621 Z-1.5499 I-3.5336 K12.3379
G01 X26.321 Z-1.2499 F452.16
G00 Z0.1301
G00 X11.3909
G00 Z-1.1176
G01 X11.3909 Z-2.1176
G01 X9.1039 Z-2.275 F150.72
G01 X23.8328 Z-2.275
G02 X25.5271 Z-1.9148 I-1.8155 K12.7046
G01 X25.2271 Z-1.6148 F452.16
G00 Z-0.694
G00 X10.9998
G00 Z-1.275
G01 X10.9998 Z-2.275
G01 X4.0 Z-2.6419 F150.72
G01 X18.284 Z-2.6419
G02 X21.6921 Z-2.4155 I-12.5658 K214.9273
G03 X22.0042 Z-2.4041 I0.3075 K-4.1384
G02 X23.8046 Z-2.279 I0.0129 K12.834
G01 X23.5046 Z-1.979 F452.16
G00 Z-1.1607
G00 X10.871
G00 Z-1.6419
G01 X10.871 Z-2.6419
G01 X4.0 Z-3.0019 F150.72
G03 X4.0325 Z-3.0021 I-0.0091 K-4.1502
G02 X18.2154 Z-2.6459 I1.6887 K215.2877
G01 X17.9154 Z-2.3459 F452.16
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
G00 X5.0272
G00 Z-2.0076
S1308
G01 X5.0272 Z-3.0076 F470.88
G01 X4.0 Z-3.1519 F156.96
G03 X4.0314 Z-3.1521 I-0.0096 K-4.0002
G02 X21.7033 Z-2.5651 I1.6896 K215.4377
G03 X22.0041 Z-2.5541 I0.2965 K-3.9888
G02 X26.7574 Z-1.6579 I0.0131 K12.984
G01 X26.4574 Z-1.3579 F470.88
S854
G00 Z60.3
G00 X59.0
M09
M05
M02

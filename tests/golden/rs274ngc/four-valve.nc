(program 12)
(Four-valve set, dish carried deeper)
(Control rs274ngc, mm, X is a radius, feed per minute)
(One cut without a reading)
(Skim 0.300 mm)
(Dish 52.000 mm wide and 3.174 mm deep below the finished crown)
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
G01 X29.2878 Z0.15 F88.2
G01 X29.2878 Z0.45 F264.6
G00 Z1.15
G00 X47.5851
G00 Z0.0
G01 X46.5851 Z0.0
G01 X28.9644 Z0.0 F88.2
G01 X28.9644 Z0.3 F264.6
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
G00 X27.144
G00 Z0.5673
S1255
G01 X27.144 Z-0.4327 F451.8
G01 X27.8794 Z-0.4327 F150.6
G01 X27.5794 Z-0.1327 F451.8
G00 Z0.843
G00 X26.2492
G00 Z0.1971
G01 X26.2492 Z-0.8029
G01 X27.3541 Z-0.8029 F150.6
G01 X27.0541 Z-0.5029 F451.8
G00 Z0.619
G00 X24.984
G00 Z-0.1731
G01 X24.984 Z-1.1731
G01 X26.9617 Z-1.1731 F150.6
G01 X26.6617 Z-0.8731 F451.8
G00 Z0.3858
G00 X22.1603
G00 Z-0.5433
G01 X22.1603 Z-1.5433
G01 X26.6003 Z-1.5433 F150.6
G02 X26.6785 Z-1.5119 I-7.1231 K17.8534
G01 X26.3785 Z-1.2119 F451.8
G00 Z0.1757
G00 X17.6416
G00 Z-0.9135
G01 X17.6416 Z-1.9135
G01 X25.4968 Z-1.9135 F150.6
G02 X25.8055 Z-1.8394 I-2.9764 K13.0806
G02 X26.5772 Z-1.5524 I-6.3128 K18.1554
G01 X26.2772 Z-1.2524 F451.8
G00 Z0.0955
G00 X11.6948
G00 Z-1.1294
G01 X11.6948 Z-2.1294
G01 X9.4539 Z-2.2837 F150.6
G01 X22.9672 Z-2.2837
G01 X24.0431 Z-2.1609
G02 X25.4729 Z-1.9189 I-1.5206 K13.3283
G01 X25.1729 Z-1.6189 F451.8
G00 Z-0.7075
G00 X11.0638
G00 Z-1.2837
G01 X11.0638 Z-2.2837
G01 X4.0 Z-2.6539 F150.6
G01 X19.2014 Z-2.6539
G02 X21.5335 Z-2.4473 I-3.2676 K50.1503
G01 X22.9322 Z-2.2877
G01 X22.6322 Z-1.9877 F451.8
G00 Z-1.2078
G00 X11.0638
G00 Z-1.6539
G01 X11.0638 Z-2.6539
G01 X4.0 Z-3.0241 F150.6
G02 X8.9546 Z-2.9965 I-0.0043 K445.5297
G02 X13.8421 Z-2.8763 I-2.0174 K181.4497
G01 X17.8462 Z-2.7238
G02 X19.1394 Z-2.6579 I-1.9111 K50.2201
G01 X18.8394 Z-2.3579 F451.8
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
G00 X5.0766
G00 Z-2.0228
S1307
G01 X5.0766 Z-3.0228 F470.52
G01 X4.0 Z-3.1741 F156.84
G02 X8.9562 Z-3.1465 I-0.0035 K445.6797
G02 X13.8478 Z-3.0262 I-2.019 K181.6001
G01 X17.8519 Z-2.8737
G02 X21.5503 Z-2.5963 I-1.9183 K50.3699
G01 X24.0601 Z-2.3099
G02 X25.8486 Z-1.9833 I-1.5373 K13.4772
G02 X26.7739 Z-1.6352 I-6.3556 K18.2999
G01 X26.4739 Z-1.3352 F470.52
S854
G00 Z60.3
G00 X59.0
M09
M05
M02

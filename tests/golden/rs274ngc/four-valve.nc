(program 2000)
(Four-valve set, dish carried deeper)
(ONE CUT WITHOUT A READING)
(MARK 07D090)
(Target 7.600 cc. Dish 52.000 wide, 3.174 deep, skim 0.300 mm)
(Tool: RCGT 0803 M0, R 4.000 mm, tip towards +X -Z)
(Before touching off, MDI: T1 M6 G43 H1 and G54, else a stale length)
(is added)
(Z: spindle stopped, touch the as-received crown at about X 37.5000)
(mm radius. Set Z 0.3000 mm)
(X: spindle stopped, outer side on a blade along the top land, proud)
(by over 4.0000 mm, thrust side. Set X 41.0000 mm radius)
(Check: touched on diameter 82.0000 mm the readout shows X 41.0000 mm)
(radius)
(The machine manual and local rules come before this program)
(Whether the crown is strong enough is for the engine builder)
(Piston drawn to its seat, chuck key out, guard closed)
(Prove it above the work first, rapids and feed turned down)
(Control rs274ngc, mm, X is a radius, feed per minute)
M05
(Tool clear, turret free to swing)
M00
G18 G21 G40 G90 G94 G61
T1 M6
G43 H1
G54
G00 Z60.3
G00 X41.0
G00 Z20.0
(Gap to the crown as it stands: 19.700 MM)
(ONE CUT WITHOUT A READING - GAUGE 20 MM)
M00
(N1 Skim)
N1 G18 G21 G40 G90 G94 G61
T1 M6
G43 H1
G54
S854 M03
M08
G00 Z60.3
G00 X59.0
G00 Z1.3
G00 X47.5851
G00 Z0.15
S735
G01 X46.5851 Z0.15 F529.2
G01 X29.2878 Z0.15 F88.2
G01 X29.2878 Z0.45 F529.2
G00 Z1.15
G00 X47.5851
G00 Z0.0
G01 X46.5851 Z0.0
G01 X28.9644 Z0.0 F88.2
G01 X28.9644 Z0.3 F529.2
S854
G00 Z26.3
G00 X59.0
M09
M05
(Clear chips, look at the insert)
M01
(N2 Dish roughing - start here only after Skim)
N2 G18 G21 G40 G90 G94 G61
T1 M6
G43 H1
G54
S854 M03
M08
G00 Z1.3
G00 X9.1333
G00 Z-1.1813
S1312
G01 X9.1333 Z-2.1813 F944.64
G03 X8.9286 Z-2.202 I-18.3233 K180.1767 F157.44
G03 X4.0 Z-2.6688 I-44.4392 K442.9509
G02 X8.9506 Z-2.6412 I-0.0063 K445.1744
G02 X13.8286 Z-2.5212 I-2.014 K181.0944
G01 X17.8327 Z-2.3688
G02 X21.4936 Z-2.0942 I-1.8995 K49.8654
G01 X24.0028 Z-1.8079
G02 X25.7035 Z-1.4987 I-1.4805 K12.9751
G02 X26.456 Z-1.2183 I-6.2101 K17.8153
G01 X26.156 Z-0.9183 F944.64
G00 Z0.3574
G00 X7.985
G00 Z-1.6509
G01 X7.985 Z-2.6509
G03 X4.0 Z-3.0241 I-43.5345 K443.3976 F157.44
G02 X8.9546 Z-2.9965 I-0.0043 K445.5297
G02 X13.8421 Z-2.8763 I-2.0174 K181.4497
G01 X17.8462 Z-2.7238
G02 X21.5335 Z-2.4473 I-1.9121 K50.2205
G01 X24.0431 Z-2.1609
G02 X25.8055 Z-1.8394 I-1.5208 K13.3281
G02 X26.6785 Z-1.5119 I-6.3128 K18.1554
G01 X26.3785 Z-1.2119 F944.64
S854
G00 Z26.3
G00 X59.0
M09
M05
(Clear chips, look at the insert)
M01
(N3 Dish finishing contour - start here only after Dish roughing)
N3 G18 G21 G40 G90 G94 G61
T1 M6
G43 H1
G54
S854 M03
M08
G00 Z1.3
G00 X5.4911
G00 Z-2.0216
S1307
G01 X5.4911 Z-3.0216 F941.04
G01 X4.0 Z-3.1741 F156.84
G02 X8.9562 Z-3.1465 I-0.0035 K445.6797
G02 X13.8478 Z-3.0262 I-2.019 K181.6001
G01 X17.8519 Z-2.8737
G02 X21.5503 Z-2.5963 I-1.9183 K50.3699
G01 X24.0601 Z-2.3099
G02 X25.8486 Z-1.9833 I-1.5373 K13.4772
G02 X26.7739 Z-1.6352 I-6.3556 K18.2999
G01 X26.4739 Z-1.3352 F941.04
S854
G00 Z60.3
G00 X59.0
M09
M05
M02

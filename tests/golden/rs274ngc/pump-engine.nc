(Pump engine, four pistons)
(ONE CUT WITHOUT A READING)
(MARK 7BD81E)
(Target 11.600 cc. Dish 68.000 wide, 3.038 deep, skim 0.500 mm)
(Tool: RCGT 10T3 M0, R 5.000 mm, tip towards +X -Z)
(Before touching off, MDI: T1 M6 G43 H1 and G54, else a stale length)
(is added)
(Z: spindle stopped, touch the as-received crown at about X 43.6000)
(mm radius. Set Z 0.5000 mm)
(X: spindle stopped, outer side on a blade along the top land, proud)
(by over 5.0000 mm, thrust side. Set X 45.2000 mm radius)
(Check: touched on diameter 90.4000 mm the readout shows X 45.2000 mm)
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
G00 Z60.5
G00 X45.2
G00 Z20.0
(Gap to the crown as it stands: 19.500 MM)
(ONE CUT WITHOUT A READING - GAUGE 20 MM)
M00
(N1 Skim)
N1 G18 G21 G40 G90 G94 G61
T1 M6
G43 H1
G54
S880 M03
M08
G00 Z60.5
G00 X65.2
G00 Z1.5
G00 X53.2612
G00 Z0.25
S736
G01 X52.2612 Z0.25 F441.6
G01 X35.4543 Z0.25 F73.6
G01 X35.4543 Z0.55 F441.6
G00 Z1.25
G00 X53.2612
G00 Z0.0
G01 X52.2612 Z0.0
G01 X34.737 Z0.0 F73.6
G01 X34.737 Z0.3 F441.6
(Break the edge)
G00 Z1.0
G00 X49.8032
G01 X49.8032 Z0.0
G03 X53.3355 Z-1.4645 I-0.0032 K-4.9999 F73.6
G01 X53.7355 Z-1.8645
G01 X54.0355 Z-1.5645 F441.6
S880
G00 Z26.5
G00 X65.2
M09
M05
(Clear chips, look at the insert)
M01
(N2 Dish roughing - start here only after Skim)
N2 G18 G21 G40 G90 G94 G61
T1 M6
G43 H1
G54
S880 M03
M08
G00 Z1.5
G00 X32.4942
G00 Z0.5187
S1089
G01 X32.4942 Z-0.4813 F653.4
G01 X36.5293 Z-0.4813 F108.9
G01 X36.2293 Z-0.1813 F653.4
G00 Z0.788
G00 X31.0165
G00 Z0.0373
G01 X31.0165 Z-0.9627
G01 X35.8028 Z-0.9627 F108.9
G01 X35.5028 Z-0.6627 F653.4
G00 Z0.4654
G00 X29.4414
G00 Z-0.444
G01 X29.4414 Z-1.444
G01 X35.2748 Z-1.444 F108.9
G01 X34.9748 Z-1.144 F653.4
G00 Z0.1323
G00 X27.7489
G00 Z-0.9253
G01 X27.7489 Z-1.9253
G01 X34.8686 Z-1.9253 F108.9
G01 X34.5686 Z-1.6253 F653.4
G00 Z-0.1943
G00 X25.911
G00 Z-1.4067
G01 X25.911 Z-2.4067
G01 X34.5506 Z-2.4067 F108.9
G01 X34.2506 Z-2.1067 F653.4
G00 Z-0.5042
G00 X23.8858
G00 Z-1.888
G01 X23.8858 Z-2.888
G01 X34.303 Z-2.888 F108.9
G01 X34.003 Z-2.588 F653.4
S880
G00 Z26.5
G00 X65.2
M09
M05
(Clear chips, look at the insert)
M01
(N3 Dish finishing contour - start here only after Dish roughing)
N3 G18 G21 G40 G90 G94 G61
T1 M6
G43 H1
G54
S880 M03
M08
G00 Z1.5
G00 X23.2069
G00 Z-2.038
S1156
G01 X23.2069 Z-3.038 F693.6
G01 X34.401 Z-3.038 F115.6
G01 X34.101 Z-2.738 F693.6
S880
G00 Z60.5
G00 X65.2
M09
M05
M02

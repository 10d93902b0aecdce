(Pump engine, four pistons)
(ONE CUT WITHOUT A READING)
(MARK 7BD81E)
(Target 11.600 cc. Dish 68.000 wide, 3.038 deep, skim 0.500 mm)
(Tool: RCGT 10T3 M0, R 5.000 mm, tip towards +X -Z, tip number 3)
(Before touching off, MDI: T1 M6 G43 and G54, else a stale length is)
(added)
(Z: spindle stopped, touch the as-received crown at about X 87.2000)
(mm diameter. Set Z 0.5000 mm)
(X: spindle stopped, outer side on a blade along the top land, proud)
(by over 5.0000 mm, thrust side. Set X 90.4000 mm diameter)
(Check: touched on diameter 90.4000 mm the readout shows X 90.4000 mm)
(diameter)
(The machine manual and local rules come before this program)
(Whether the crown is strong enough is for the engine builder)
(Piston drawn to its seat, chuck key out, guard closed)
(Prove it above the work first, rapids and feed turned down)
(Control rs274-lathe, mm, X is a diameter, feed per revolution)
M05
(Tool clear, turret free to swing)
M00
G18 G21 G7 G40 G90 G95 G61
T1 M6
G43
G54
G00 Z60.5
G00 X90.4
G00 Z20.0
(Gap to the crown as it stands: 19.500 MM)
(ONE CUT WITHOUT A READING - GAUGE 20 MM)
M00
(N1 Skim)
N1 G18 G21 G7 G40 G90 G95 G61
T1 M6
G43
G54
G97 S880 M03
M08
G00 Z60.5
G00 X130.4
G00 Z1.5
G00 X106.5225
G00 Z0.25
G96 D1800 S250
G01 X104.5225 Z0.25 F0.6
G01 X70.9085 Z0.25 F0.1
G01 X70.9085 Z0.55 F0.6
G00 Z1.25
G00 X106.5225
G00 Z0.0
G01 X104.5225 Z0.0
G01 X69.4739 Z0.0 F0.1
G01 X69.4739 Z0.3 F0.6
(Break the edge)
G00 Z1.0
G00 X99.6063
G01 X99.6063 Z0.0
G03 X106.6711 Z-1.4645 I-0.0032 K-5.0001 F0.1
G01 X107.4711 Z-1.8645
G01 X108.0711 Z-1.5645 F0.6
G97 S880
G00 Z26.5
G00 X130.4
M09
M05
(Clear chips, look at the insert)
M01
(N2 Dish roughing - start here only after Skim)
N2 G18 G21 G7 G40 G90 G95 G61
T1 M6
G43
G54
G97 S880 M03
M08
G00 Z1.5
G00 X64.9884
G00 Z0.5187
G96 D1800 S250
G01 X64.9884 Z-0.4813 F0.6
G01 X73.0587 Z-0.4813 F0.1
G01 X72.4587 Z-0.1813 F0.6
G00 Z0.788
G00 X62.033
G00 Z0.0373
G01 X62.033 Z-0.9627
G01 X71.6055 Z-0.9627 F0.1
G01 X71.0055 Z-0.6627 F0.6
G00 Z0.4654
G00 X58.8828
G00 Z-0.444
G01 X58.8828 Z-1.444
G01 X70.5495 Z-1.444 F0.1
G01 X69.9495 Z-1.144 F0.6
G00 Z0.1323
G00 X55.4979
G00 Z-0.9253
G01 X55.4979 Z-1.9253
G01 X69.7371 Z-1.9253 F0.1
G01 X69.1371 Z-1.6253 F0.6
G00 Z-0.1943
G00 X51.822
G00 Z-1.4067
G01 X51.822 Z-2.4067
G01 X69.1012 Z-2.4067 F0.1
G01 X68.5012 Z-2.1067 F0.6
G00 Z-0.5042
G00 X47.7716
G00 Z-1.888
G01 X47.7716 Z-2.888
G01 X68.606 Z-2.888 F0.1
G01 X68.006 Z-2.588 F0.6
G97 S880
G00 Z26.5
G00 X130.4
M09
M05
(Clear chips, look at the insert)
M01
(N3 Dish finishing contour - start here only after Dish roughing)
N3 G18 G21 G7 G40 G90 G95 G61
T1 M6
G43
G54
G97 S880 M03
M08
G00 Z1.5
G00 X46.4138
G00 Z-2.038
G96 D1800 S250
G01 X46.4138 Z-3.038 F0.6
G01 X68.8021 Z-3.038 F0.1
G01 X68.2021 Z-2.738 F0.6
G97 S880
G00 Z60.5
G00 X130.4
M09
M05
M02

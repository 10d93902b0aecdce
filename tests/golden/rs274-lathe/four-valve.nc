(program 2000)
(Four-valve set, dish carried deeper)
(ONE CUT WITHOUT A READING)
(MARK 07D090)
(Target 7.600 cc. Dish 52.000 wide, 3.174 deep, skim 0.300 mm)
(Tool: RCGT 0803 M0, R 4.000 mm, tip towards +X -Z, tip number 3)
(Before touching off, MDI: T1 M6 G43 and G54, else a stale length is)
(added)
(Z: spindle stopped, touch the as-received crown at about X 75.0000)
(mm diameter. Set Z 0.3000 mm)
(X: spindle stopped, outer side on a blade along the top land, proud)
(by over 4.0000 mm, thrust side. Set X 82.0000 mm diameter)
(Check: touched on diameter 82.0000 mm the readout shows X 82.0000 mm)
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
G00 Z60.3
G00 X82.0
G00 Z20.0
(Gap to the crown as it stands: 19.700 MM)
(ONE CUT WITHOUT A READING - GAUGE 20 MM)
M00
(N1 Skim)
N1 G18 G21 G7 G40 G90 G95 G61
T1 M6
G43
G54
G97 S854 M03
M08
G00 Z60.3
G00 X118.0
G00 Z1.3
G00 X95.1703
G00 Z0.15
G96 D2000 S220
G01 X93.1703 Z0.15 F0.72
G01 X58.5756 Z0.15 F0.12
G01 X58.5756 Z0.45 F0.72
G00 Z1.15
G00 X95.1703
G00 Z0.0
G01 X93.1703 Z0.0
G01 X57.9287 Z0.0 F0.12
G01 X57.9287 Z0.3 F0.72
G97 S854
G00 Z26.3
G00 X118.0
M09
M05
(Clear chips, look at the insert)
M01
(N2 Dish roughing - start here only after Skim)
N2 G18 G21 G7 G40 G90 G95 G61
T1 M6
G43
G54
G97 S854 M03
M08
G00 Z1.3
G00 X18.2666
G00 Z-1.1813
G96 D2000 S220
G01 X18.2666 Z-2.1813 F0.72
G03 X17.8573 Z-2.202 I-18.3277 K180.1762 F0.12
G03 X8.0 Z-2.6688 I-44.4391 K442.9509
G02 X17.9012 Z-2.6412 I-0.0063 K445.1744
G02 X27.6571 Z-2.5212 I-2.014 K181.0944
G01 X35.6654 Z-2.3688
G02 X42.9871 Z-2.0942 I-1.8996 K49.8654
G01 X48.0057 Z-1.8079
G02 X51.407 Z-1.4987 I-1.4806 K12.9754
G02 X52.912 Z-1.2183 I-6.2101 K17.8153
G01 X52.312 Z-0.9183 F0.72
G00 Z0.3574
G00 X15.97
G00 Z-1.6509
G01 X15.97 Z-2.6509
G03 X8.0 Z-3.0241 I-43.5345 K443.3976 F0.12
G02 X17.9091 Z-2.9965 I-0.0043 K445.5297
G02 X27.6841 Z-2.8763 I-2.0174 K181.4497
G01 X35.6925 Z-2.7238
G02 X43.067 Z-2.4473 I-1.9121 K50.2205
G01 X48.0863 Z-2.1609
G02 X51.611 Z-1.8394 I-1.5208 K13.3281
G02 X53.3571 Z-1.5119 I-6.3124 K18.1555
G01 X52.7571 Z-1.2119 F0.72
G97 S854
G00 Z26.3
G00 X118.0
M09
M05
(Clear chips, look at the insert)
M01
(N3 Dish finishing contour - start here only after Dish roughing)
N3 G18 G21 G7 G40 G90 G95 G61
T1 M6
G43
G54
G97 S854 M03
M08
G00 Z1.3
G00 X10.9822
G00 Z-2.0216
G96 D2000 S220
G01 X10.9822 Z-3.0216 F0.72
G01 X8.0 Z-3.1741 F0.12
G02 X17.9125 Z-3.1465 I-0.0035 K445.6797
G02 X27.6956 Z-3.0262 I-2.0191 K181.6001
G01 X35.7039 Z-2.8737
G02 X43.1007 Z-2.5963 I-1.9183 K50.3699
G01 X48.1203 Z-2.3099
G02 X51.6971 Z-1.9833 I-1.5374 K13.4772
G02 X53.5478 Z-1.6352 I-6.3556 K18.2999
G01 X52.9478 Z-1.3352 F0.72
G97 S854
G00 Z60.3
G00 X118.0
M09
M05
M02

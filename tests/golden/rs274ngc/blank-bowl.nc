(Blank with a round bowl)
(Control rs274ngc, mm, X is a radius, feed per minute)
(One cut without a reading)
(Skim 0.300 mm)
(Dish 60.600 mm wide and 8.275 mm deep below the finished crown)
(12.000 cc after the cut)
(Insert RCMT 1204 M0, radius 6.000 mm)
(Programmed point: centre of the insert)
(Z: spindle stopped, touch the as-received crown at X 21.0000 mm)
(. radius, not over a pocket, set Z 6.3000 mm)
(X: spindle stopped, insert's outer side on a square's blade laid)
(along the top land and standing proud of the crown by more than)
(6.0000 mm, on the thrust side, opposite sides and their mean where)
(. oval, set X 36.0000 mm radius)
(Check: touched on diameter 84.0000 mm the readout must show X =)
(36.0000 mm radius)
(Spindle clockwise seen from the headstock towards the work, the near)
(side comes down towards the operator [rear tool, insert face down])
(The edge must stand on centre height)
(The machine manual and local rules come before this program)
(Whether the crown is strong enough is for the engine builder)
(Piston drawn to its seat, chuck key out, guard closed)
(Prove it above the work first, rapids and feed turned down)
G18 G21 G40 G90 G94
G54
T0101
(Check: touched on diameter 84.0000 mm the readout must show X =)
(36.0000 mm radius)
M00
S900 M03
M08
G00 Z66.3
G00 X58.0
(Skim)
G00 Z7.3
G00 X45.3735
G00 Z6.0
G01 X44.3735 Z6.0 F324.0
G01 X0.0 Z6.0 F108.0
G01 X0.0 Z6.3 F324.0
(Break the edge)
G00 Z7.0
G00 X41.5361
G00 Z6.9999
G01 X41.5361 Z5.9999
G03 X48.0 Z-0.5 I-0.0361 K-6.4999 F108.0
G01 X48.3 Z-0.2 F324.0
G00 Z32.3
G00 X58.0
M09
M05
(Clear chips, look at the insert)
M01
S900 M03
M08
(Dish roughing)
G00 Z7.3
G00 X10.4984
G00 Z7.0
G01 X10.4984 Z6.0
G01 X0.0 Z5.2659 F108.0
G01 X26.7297 Z5.2659
G01 X26.4297 Z5.5659 F324.0
G00 Z6.5916
G00 X10.4984
G00 Z6.2659
G01 X10.4984 Z5.2659
G01 X0.0 Z4.5318 F108.0
G01 X25.4492 Z4.5318
G02 X26.5616 Z5.1691 I-25.449 K45.7089
G01 X26.2616 Z5.4691 F324.0
G00 Z6.5222
G00 X10.4984
G00 Z5.5318
G01 X10.4984 Z4.5318
G01 X0.0 Z3.7976 F108.0
G01 X24.0834 Z3.7976
G02 X25.4224 Z4.5168 I-24.0832 K46.4437
G01 X25.1224 Z4.8168 F324.0
G00 Z5.9131
G00 X10.4984
G00 Z4.7976
G01 X10.4984 Z3.7976
G01 X0.0 Z3.0635 F108.0
G01 X22.6115 Z3.0635
G02 X24.0559 Z3.7834 I-22.6117 K47.1771
G01 X23.7559 Z4.0834 F324.0
G00 Z5.1526
G00 X10.4984
G00 Z4.0635
G01 X10.4984 Z3.0635
G01 X0.0 Z2.3294 F108.0
G01 X21.0113 Z2.3294
G02 X22.5834 Z3.05 I-21.0103 K47.9122
G01 X22.2834 Z3.35 F324.0
G00 Z4.3915
G00 X10.4984
G00 Z3.3294
G01 X10.4984 Z2.3294
G01 X0.0 Z1.5953 F108.0
G01 X19.2507 Z1.5953
G02 X20.9825 Z2.3168 I-19.2505 K48.6454
G01 X20.6825 Z2.6168 F324.0
G00 Z3.6294
G00 X10.4984
G00 Z2.5953
G01 X10.4984 Z1.5953
G01 X0.0 Z0.8612 F108.0
G01 X17.2809 Z0.8612
G02 X19.2213 Z1.5836 I-17.2795 K49.3801
G01 X18.9213 Z1.8836 F324.0
G00 Z2.866
G00 X10.4984
G00 Z1.8612
G01 X10.4984 Z0.8612
G01 X0.0 Z0.127 F108.0
G01 X15.0196 Z0.127
G02 X17.2507 Z0.8506 I-15.0198 K50.1141
G01 X16.9507 Z1.1506 F324.0
G00 Z2.1007
G00 X10.4984
G00 Z1.127
G01 X10.4984 Z0.127
G01 X0.0 Z-0.6071 F108.0
G01 X12.3073 Z-0.6071
G02 X14.9888 Z0.1178 I-12.3073 K50.8482
G01 X14.6888 Z0.4178 F324.0
G00 Z1.3325
G00 X10.4984
G00 Z0.3929
G01 X10.4984 Z-0.6071
G01 X0.0 Z-1.3412 F108.0
G01 X8.7335 Z-1.3412
G02 X12.2758 Z-0.6147 I-8.7335 K51.5822
G01 X11.9758 Z-0.3147 F324.0
G00 Z0.5594
G00 X8.7335
G00 Z-0.3412
G01 X8.7335 Z-1.3412
G03 X7.281 Z-1.5662 I-8.7337 K51.5823 F108.0
G01 X0.0 Z-2.0753
G02 X7.2239 Z-1.5742 I0.0002 K52.3162
G01 X6.9239 Z-1.2742 F324.0
G00 Z32.3
G00 X58.0
M09
M05
(Clear chips, look at the insert)
M01
S900 M03
M08
(Dish finishing contour)
G00 Z7.3
G00 X1.4513
G00 Z-1.0552
G01 X1.4513 Z-2.0552
G01 X0.0 Z-2.2753 F108.0
G02 X26.6924 Z5.014 I0.0 K52.5165
G03 X28.154 Z5.6329 I3.0497 K-5.167
G01 X28.7116 Z5.7859
G01 X28.4116 Z6.0859 F324.0
G00 Z66.3
G00 X58.0
M09
M05
M02

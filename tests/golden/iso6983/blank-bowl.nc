(Blank with a round bowl)
(Control iso6983, mm, X is a diameter, feed per revolution)
(One cut without a reading)
(Skim 0.300 mm)
(Dish 60.600 mm wide and 8.275 mm deep below the finished crown)
(12.000 cc after the cut)
(Insert RCMT 1204 M0, radius 6.000 mm)
(Programmed point: centre of the insert)
(Z: spindle stopped, touch the as-received crown at X 42.000 mm)
(. diameter, not over a pocket, set Z 6.300 mm)
(X: spindle stopped, insert's outer side on a square's blade laid)
(along the top land and standing proud of the crown by more than)
(6.000 mm, on the thrust side, opposite sides and their mean where)
(. oval, set X 72.000 mm diameter)
(Check: touched on diameter 84.000 mm the readout must show X =)
(72.000 mm diameter)
(Spindle clockwise seen from the headstock towards the work, the near)
(side comes down towards the operator [rear tool, insert face down])
(The edge must stand on centre height)
(The machine manual and local rules come before this program)
(Whether the crown is strong enough is for the engine builder)
(Piston drawn to its seat, chuck key out, guard closed)
(Prove it above the work first, rapids and feed turned down)
G18 G21 G40 G90 G95
G54
T0101
G97 S900 M03
M08
G00 Z66.3
G00 X116.0
(Skim)
G00 Z7.3
G00 X90.747
G00 Z6.0
G01 X88.747 Z6.0 F0.36
G01 X0.0 Z6.0 F0.12
G01 X0.0 Z6.3 F0.36
(Break the edge)
G00 Z7.0
G00 X83.072
G01 X83.072 Z6.0
G03 X96.0 Z-0.5 I-0.036 K-6.5 F0.12
G01 X96.6 Z-0.2 F0.36
G00 Z32.3
G00 X116.0
M09
M05
(Clear chips, look at the insert)
M01
G97 S900 M03
M08
(Dish roughing)
G00 Z7.3
G00 X20.997
G00 Z7.0
G01 X20.997 Z6.0
G01 X0.0 Z5.266 F0.12
G01 X53.459 Z5.266
G01 X52.859 Z5.566 F0.36
G00 Z6.592
G00 X20.997
G00 Z6.266
G01 X20.997 Z5.266
G01 X0.0 Z4.532 F0.12
G01 X50.898 Z4.532
G02 X53.123 Z5.169 I-25.438 K45.714
G01 X52.523 Z5.469 F0.36
G00 Z6.522
G00 X20.997
G00 Z5.532
G01 X20.997 Z4.532
G01 X0.0 Z3.798 F0.12
G01 X48.167 Z3.798
G02 X50.845 Z4.517 I-24.081 K46.441
G01 X50.245 Z4.817 F0.36
G00 Z5.913
G00 X20.997
G00 Z4.798
G01 X20.997 Z3.798
G01 X0.0 Z3.064 F0.12
G01 X45.223 Z3.064
G02 X48.112 Z3.783 I-22.589 K47.187
G01 X47.512 Z4.083 F0.36
G00 Z5.153
G00 X20.997
G00 Z4.064
G01 X20.997 Z3.064
G01 X0.0 Z2.329 F0.12
G01 X42.023 Z2.329
G02 X45.167 Z3.05 I-21.013 K47.914
G01 X44.567 Z3.35 F0.36
G00 Z4.391
G00 X20.997
G00 Z3.329
G01 X20.997 Z2.329
G01 X0.0 Z1.595 F0.12
G01 X38.501 Z1.595
G02 X41.965 Z2.317 I-19.258 K48.644
G01 X41.365 Z2.617 F0.36
G00 Z3.629
G00 X20.997
G00 Z2.595
G01 X20.997 Z1.595
G01 X0.0 Z0.861 F0.12
G01 X34.562 Z0.861
G02 X38.443 Z1.584 I-17.29 K49.378
G01 X37.843 Z1.884 F0.36
G00 Z2.866
G00 X20.997
G00 Z1.861
G01 X20.997 Z0.861
G01 X0.0 Z0.127 F0.12
G01 X30.039 Z0.127
G02 X34.501 Z0.851 I-15.027 K50.109
G01 X33.901 Z1.151 F0.36
G00 Z2.101
G00 X20.997
G00 Z1.127
G01 X20.997 Z0.127
G01 X0.0 Z-0.607 F0.12
G01 X24.615 Z-0.607
G02 X29.978 Z0.118 I-12.307 K50.846
G01 X29.378 Z0.418 F0.36
G00 Z1.333
G00 X20.997
G00 Z0.393
G01 X20.997 Z-0.607
G01 X0.0 Z-1.341 F0.12
G01 X17.467 Z-1.341
G02 X24.552 Z-0.615 I-8.728 K51.581
G01 X23.952 Z-0.315 F0.36
G00 Z0.559
G00 X17.467
G00 Z-0.341
G01 X17.467 Z-1.341
G03 X14.562 Z-1.566 I-8.734 K51.582 F0.12
G01 X0.0 Z-2.075
G02 X14.448 Z-1.574 I0.001 K52.314
G01 X13.848 Z-1.274 F0.36
G00 Z32.3
G00 X116.0
M09
M05
(Clear chips, look at the insert)
M01
G97 S900 M03
M08
(Dish finishing contour)
G00 Z7.3
G00 X2.903
G00 Z-1.055
G01 X2.903 Z-2.055
G01 X0.0 Z-2.275 F0.12
G02 X53.385 Z5.014 I0.001 K52.514
G03 X56.308 Z5.633 I3.049 K-5.165
G01 X57.423 Z5.786
G01 X56.823 Z6.086 F0.36
G00 Z66.3
G00 X116.0
M09
M05
M30

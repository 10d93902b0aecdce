"""A whole program of every dialect, written out by hand."""

from postprocessors.iso6983 import Iso6983
from postprocessors.rs274_lathe import Rs274Lathe
from postprocessors.rs274ngc import Rs274ngc
from postprocessors.system_a import SystemA

ISO6983 = """\
%
(program 12)
(PUMP ENGINE)
(Z0 IS THE FINISHED CROWN)
(CONTROL ISO6983, MM, X IS A DIAMETER, FEED PER REVOLUTION)
G18 G21 G40 G90 G95
T0101
G54
(PROOF)
(READOUT MUST SHOW X = 90.40)
M00
(N2 DISH ROUGHING - START HERE ONLY AFTER SKIM)
N2 G18 G21 G40 G90 G95
T0101
G54
G92 S1800
G97 S1000 M04
M08
G00 X68.0
G00 Z1.0
G96 S250
G01 X60.0 Z-2.5 F0.1
G02 X70.0 Z2.5 I0.0 K5.0
(CLEAR CHIPS)
M01
G03 X72.0 Z3.5 I1.0 K0.0 F0.05
G00 Z100.0
G97 S900
M09
M05
M30
%
"""

SYSTEM_A = """\
%
O0012
(PUMP ENGINE)
(Z0 IS THE FINISHED CROWN)
(CONTROL SYSTEM-A, MM, X IS A DIAMETER, FEED PER REVOLUTION)
G21
G18 G40 G99
T0101
G54
(PROOF)
(READOUT MUST SHOW X = 90.40)
M00
(N2 DISH ROUGHING - START HERE ONLY AFTER SKIM)
N2 G21
G18 G40 G99
T0101
G54
G50 S1800
G97 S1000 M04
M08
G00 X68.0
G00 Z1.0
G96 S250
G01 X60.0 Z-2.5 F0.1
G02 X70.0 Z2.5 I0.0 K5.0
(CLEAR CHIPS)
M01
G03 X72.0 Z3.5 I1.0 K0.0 F0.05
G00 Z100.0
G97 S900
M09
M05
M30
%
"""

RS274NGC = """\
(program 12)
(Pump engine)
(Z0 is the FINISHED crown)
(Control rs274ngc, mm, X is a diameter, feed per minute)
N10 G18 G21 G40 G90 G94 G61
N20 T1 M6
N30 G43 H1
N40 G54
(proof)
(readout must show X = 90.40)
N50 M00
(N2 Dish roughing - start here only after Skim)
N2 G18 G21 G40 G90 G94 G61
N60 T1 M6
N70 G43 H1
N80 G54
N90 S1000 M03
N100 M08
N110 G00 X68.0
N120 G00 Z1.0
N130 G01 X60.0 Z-2.5 F0.1
N140 G02 X70.0 Z2.5 I0.0 K5.0
(clear chips)
N150 M01
N160 G03 X72.0 Z3.5 I1.0 K0.0 F0.05
N170 G00 Z100.0
N180 M05
N190 M09
N200 M02
"""

RS274_LATHE = """\
%
(program 12)
(Pump engine)
(Z0 is the FINISHED crown)
(Control rs274-lathe, mm, X is a diameter, feed per revolution)
G18 G21 G7 G40 G90 G95 G61
T1 M6
G43
G54
(proof)
(readout must show X = 90.40)
M00
(N2 Dish roughing - start here only after Skim)
N2 G18 G21 G7 G40 G90 G95 G61
T1 M6
G43
G54
G97 S1000 M04
M08
G00 X68.0
G00 Z1.0
G96 D1800 S250
G01 X60.0 Z-2.5 F0.1
G02 X70.0 Z2.5 I0.0 K5.0
(clear chips)
M01
G03 X72.0 Z3.5 I1.0 K0.0 F0.05
G00 Z100.0
G97 S900
M09
M05
M02
%
"""


def test_whole_program_iso6983(program, surface_moves):
    assert Iso6983(program(*surface_moves, tool_word="T0101")).text() == ISO6983


def test_whole_program_system_a(program, surface_moves):
    assert SystemA(program(*surface_moves, tool_word="T0101")).text() == SYSTEM_A


def test_whole_program_rs274ngc(program, fixed_moves):
    made = Rs274ngc(program(*fixed_moves, tool_word="T1 M6 G43 H1", block_numbers=True, percent=False))
    assert made.text() == RS274NGC


def test_whole_program_rs274_lathe(program, surface_moves):
    assert Rs274Lathe(program(*surface_moves, tool_word="T1 M6 G43")).text() == RS274_LATHE

"""The lengths (mm) that the kernel and the layout of passes treat as nothing.

A tolerance of one check alone stands by its name at the head of that check's module.
"""

JOIN = 1e-6  # two ends this close are one point; a larger step in z is a wall
GAP = 2 * JOIN  # ends further apart are no chain; a shift and a turn may each add their rounding to a join
SLIVER = 1e-9  # a stretch this narrow is not kept
TIE = 1e-9  # two heights this close are equal
TURN = 1e-9  # rad; two directions this close are one
NO_METAL = 1e-4  # metal no thicker than this is none: no pass is laid through it
COUNT = 1e-9  # of one; a quotient no further over a whole number is that number

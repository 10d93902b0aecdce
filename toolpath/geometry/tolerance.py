"""The few lengths (mm) that the kernel treats as nothing; every other module takes them from here."""

JOIN = 1e-6  # two ends this close are one point; a larger step in z is a wall
GAP = 1.5 * JOIN  # ends further apart are no chain; shifts and turns may add their rounding to a join
SLIVER = 1e-9  # a stretch this narrow is not kept
TIE = 1e-9  # two heights this close are equal
TURN = 1e-9  # rad; two directions this close are one

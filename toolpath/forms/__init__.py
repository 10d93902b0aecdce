"""The forms that a dish can have: one table, its builders, the curve through points, the breaks."""

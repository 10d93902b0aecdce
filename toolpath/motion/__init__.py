"""Moves of the insert centre to moves of the programmed point, with speeds and times."""

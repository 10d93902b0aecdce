"""The page at the machine: rows in large figures, and the program played as it was read back from its text."""

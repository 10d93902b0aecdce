"""Moves to text and back: the program, its head and its proof, and the table by hand."""

"""The set: what each piston's readings say, and what it can still meet together."""

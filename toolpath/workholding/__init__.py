"""Whether the piston is held, and whether it runs true."""

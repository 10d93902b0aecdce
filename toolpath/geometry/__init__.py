"""Lines and arcs in the half section, exact; chains of them; what a disc can reach."""

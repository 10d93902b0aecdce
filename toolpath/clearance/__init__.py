"""Flank, holder and crown: how far the tool's body stays away from metal."""

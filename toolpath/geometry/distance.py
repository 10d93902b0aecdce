"""Distances in the section plane."""

from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Floats


def distance(chain: Chain, points: Floats) -> Floats:
    """Shortest distances of points (N, 2) to a chain, (N,), mm, unsigned."""
    return chain.distances(points)

"""How a motion meets metal: no faster than the job's feed, and down into it on a slope only."""

import math
from collections.abc import Iterator, Sequence

import numpy as np

from toolpath.readback.cutter import CutStock
from toolpath.readback.held import MORE, Difference
from toolpath.readback.motions import Motion
from toolpath.readback.stated import Stated

STEEPEST = math.radians(20)  # of a way down into metal; common practice, no source
MEETS = 0.01  # mm of metal; less is what rounding and feed marks leave
_PLACES = np.linspace(0.0, 1.0, 17)  # of a path that are looked at


def unlike(motions: Sequence[Motion], done: CutStock, stated: Stated, half: float) -> Iterator[Difference]:
    """Motions at feed that meet metal otherwise than the job's own; `half` the last decimal, mm."""
    for motion, taken, met in zip(motions, done.taken, done.met, strict=True):
        if motion.rapid:
            continue
        feed = motion.mode.feed
        if met > MEETS and feed > stated.feed * MORE:
            what = f"the feed is {feed:.4g} mm/rev where metal stands or may stand, the job says {stated.feed:.4g}"
            yield Difference("refused", "readback-feed", motion.line, motion.block, what, "put F back")
        if taken <= MEETS:
            continue
        steep = _steepest(motion, half)
        if steep > STEEPEST or (steep > stated.ramp * MORE and taken > stated.ramp_bite):
            what = f"the insert comes down into metal at {math.degrees(steep):.0f} degrees"
            advice = f"come down on a ramp of {math.degrees(stated.ramp):.1f} degrees"
            yield Difference("refused", "readback-plunge", motion.line, motion.block, what, advice)


def _steepest(motion: Motion, half: float) -> float:
    """The steepest way down of a motion that does not go outward, rad; 0 where it does not come down."""
    x, z = motion.places(_PLACES) if motion.radius else motion.places(_PLACES[[0, -1]])
    inward, down = -np.diff(x), -np.diff(z) - 2 * half
    falls = (down > 0) & (inward >= 0)
    if not falls.any():
        return 0.0
    return float(np.arctan2(down[falls], inward[falls] + 2 * half).max())

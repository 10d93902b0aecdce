"""How much of the feed time is in metal, and the least time that the metal allows."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from toolpath.geometry.chain import stretches_above
from toolpath.geometry.segments import Segment
from toolpath.geometry.tolerance import JOIN, NO_METAL
from toolpath.moves import Arc, Line
from toolpath.planner.steps import CutStep, Step

Stretches = Sequence[tuple[float, float]]


class Economy(NamedTuple):
    """Seconds: what the metal takes, what all feeding takes, and the bound."""

    metal_s: float
    lead_in_s: float  # safe way from the rapid to the first metal of each pass
    feed_s: float
    bound_s: float  # one sweep of the metal at each level and one finishing contour, no air

    @property
    def share(self) -> float:
        """Share of the feed time in metal; the safe lead-in counts as neither."""
        beside = self.feed_s - self.lead_in_s
        return min(1.0, self.metal_s / beside) if beside > 0 else 1.0


class _Part(NamedTuple):
    """What part of one feed move is in metal, is safe lead-in, and belongs to the bound; 0 to 1 each."""

    metal: float = 0.0
    lead_in: float = 0.0
    bound: float = 0.0


def economy(steps: Iterable[Step], clearance: float, seconds: Iterable[float]) -> Economy:
    """Weigh the time of every move at feed: `seconds` are theirs, in the order of the steps.

    A facing pass feeds through air until `clearance` (mm) inside its start.
    """
    feeds = [step for step in steps if isinstance(step.move, Line | Arc)]
    pairs = list(zip(seconds, _parts(feeds, clearance), strict=True))
    return Economy(
        metal_s=sum(s * p.metal for s, p in pairs),
        lead_in_s=sum(s * p.lead_in for s, p in pairs),
        feed_s=sum(s for s, _ in pairs),
        bound_s=sum(s * p.bound for s, p in pairs),
    )


def _parts(feeds: Iterable[Step], clearance: float) -> Iterator[_Part]:
    for _, steps in groupby(feeds, key=lambda step: id(step.leg) if isinstance(step, CutStep) else 0):
        along = list(steps)
        if isinstance(along[0], CutStep):
            yield from _leg(along[0], [s.segment for s in along if isinstance(s, CutStep)], clearance)
        else:
            yield from (_Part(lead_in=float(step.role == "approach")) for step in along)


def _leg(step: CutStep, segments: Sequence[Segment], clearance: float) -> Iterator[_Part]:
    """The parts of all segments of the leg that begins with this step."""
    one, leg = step.run, step.leg
    metal = stretches_above(step.before.centre, leg.path, by=NO_METAL)
    lead: Stretches = ()
    if leg is one.legs[0] and metal:
        begin = leg.starts_at - (clearance if one.kind == "skim" else 0.0)
        lead = [(begin, metal[0][0])] if leg.outward else [(metal[-1][1], begin)]
    ideal: Stretches = ()
    if leg is one.cut:
        ideal = stretches_above(one.before.centre, leg.path, by=NO_METAL)
    for s in segments:
        covered = _covered(s, metal)
        yield _Part(covered, min(_covered(s, lead), 1.0 - covered), _covered(s, ideal))


def _covered(s: Segment, where: Stretches) -> float:
    """The part of a segment that lies in the stretches; a wall counts where one of them ends at it."""
    if s.is_wall:
        return float(any(abs(hi - s.r1) < 2 * JOIN or lo <= s.r1 <= hi for lo, hi in where))
    inside = sum(max(0.0, min(hi, s.r2) - max(lo, s.r1)) for lo, hi in where)
    return min(1.0, inside / (s.r2 - s.r1))

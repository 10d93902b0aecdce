"""How much of the feed time is in metal, and the least time that the metal allows."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from toolpath.geometry.chain import stretches_above
from toolpath.geometry.segments import Segment
from toolpath.geometry.tolerance import JOIN
from toolpath.moves import Arc, Line, Move
from toolpath.planning.motion import Running, approach
from toolpath.planning.passes import Pass
from toolpath.planning.plan import Plan

Stretches = Sequence[tuple[float, float]]
TOUCHING = 1e-4  # mm; no more metal than this is none


@dataclass(frozen=True, slots=True)
class Economy:
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


@dataclass(frozen=True, slots=True)
class _Part:
    """What part of one feed move is in metal, is safe lead-in, and belongs to the bound; 0 to 1 each."""

    metal: float = 0.0
    lead_in: float = 0.0
    bound: float = 0.0


def economy(plan: Plan, running: Running, moves: Sequence[Move], seconds: Sequence[float]) -> Economy:
    """Weigh the time of every feed move, `seconds` aligned with the `moves` of the plan."""
    feeds = [s for move, s in zip(moves, seconds, strict=True) if isinstance(move, Line | Arc)]
    parts = list(_parts(plan, running))
    pairs = list(zip(feeds, parts, strict=True))
    return Economy(
        metal_s=sum(s * p.metal for s, p in pairs),
        lead_in_s=sum(s * p.lead_in for s, p in pairs),
        feed_s=sum(feeds),
        bound_s=sum(s * p.bound for s, p in pairs),
    )


def _parts(plan: Plan, running: Running) -> Iterator[_Part]:
    """The parts of every feed move, in the order in which `motion.moves_of` writes them."""
    for one in plan.passes:
        for _ in approach(one, running):
            yield _Part(lead_in=1.0)
        yield from _legs(one, running)
        yield _Part()  # away from the wall


def _legs(one: Pass, running: Running) -> Iterator[_Part]:
    stock = one.before
    ideal = stretches_above(stock.centre, one.cut.path, by=TOUCHING)
    for leg in one.legs:
        metal = stretches_above(stock.centre, leg.path, by=TOUCHING)
        lead: Stretches = ()
        if leg is one.legs[0] and metal:
            begin = leg.starts_at - (running.clearance if one.kind == "skim" else 0.0)
            lead = [(begin, metal[0][0])] if leg.outward else [(metal[-1][1], begin)]
        segments = leg.path.segments if leg.outward else leg.path.segments[::-1]
        for s in segments:
            bound = _covered(s, ideal) if leg is one.cut else 0.0
            covered = _covered(s, metal)
            yield _Part(covered, min(_covered(s, lead), 1.0 - covered), bound)
        stock = stock.after([leg.path])


def _covered(s: Segment, where: Stretches) -> float:
    """The part of a segment that lies in the stretches; a wall counts where one of them ends at it."""
    if s.is_wall:
        return float(any(abs(hi - s.r1) < 2 * JOIN or lo <= s.r1 <= hi for lo, hi in where))
    inside = sum(max(0.0, min(hi, s.r2) - max(lo, s.r1)) for lo, hi in where)
    return min(1.0, inside / (s.r2 - s.r1))

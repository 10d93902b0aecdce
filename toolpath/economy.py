"""How much of the feed time is in metal, and the least time that the metal allows."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from toolpath.geometry.chain import stretches_above
from toolpath.moves import Move, Rapid
from toolpath.planning.entry import Leg
from toolpath.planning.motion import Running, approach, legs_alone
from toolpath.planning.passes import Pass
from toolpath.planning.plan import Plan

Clock = Callable[[Sequence[Move]], float]  # seconds at feed of some moves


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


def economy(plan: Plan, running: Running, clock: Clock, feed_s: float) -> Economy:
    """Time the stretches of each pass that meet metal; `clock` times moves as the control would."""
    metal: list[Leg] = []
    bound: list[Leg] = []
    lead: list[Leg] = []
    for one in plan.passes:
        stock = one.before
        for leg in one.legs:
            where = stretches_above(stock.centre, leg.path, by=1e-4)
            metal += _stretches(leg, where)
            if leg is one.legs[0]:
                lead += _before(leg, where, running.clearance if one.kind == "skim" else 0.0)
            stock = stock.after([leg.path])
        bound += _ideal(one)
    return Economy(
        metal_s=_timed(metal, running, clock),
        lead_in_s=_timed(lead, running, clock) + _approaches(plan, running, clock),
        feed_s=feed_s,
        bound_s=_timed(bound, running, clock),
    )


def _stretches(leg: Leg, where: Iterable[tuple[float, float]]) -> list[Leg]:
    return [Leg(leg.path.clipped(lo, hi), leg.outward) for lo, hi in where if hi - lo > 1e-6]


def _before(leg: Leg, where: Sequence[tuple[float, float]], fast: float) -> list[Leg]:
    """The part of a first leg before it meets metal, less the `fast` mm that count as approach."""
    if not where:
        return []
    lo, hi = (leg.starts_at, where[0][0]) if leg.outward else (where[-1][1], leg.starts_at - fast)
    return _stretches(leg, [(lo, hi)])


def _ideal(one: Pass) -> list[Leg]:
    """The metal of a pass swept once, without a ramp."""
    return _stretches(one.cut, stretches_above(one.before.centre, one.cut.path, by=1e-4))


def _approaches(plan: Plan, running: Running, clock: Clock) -> float:
    moves: list[Move] = []
    for one in plan.passes:
        moves += [Rapid(x=one.legs[0].starts_at), Rapid(z=one.descend), *approach(one, running)]
    return clock(moves)


def _timed(legs: Sequence[Leg], running: Running, clock: Clock) -> float:
    moves: list[Move] = []
    for leg in legs:
        moves += [Rapid(x=leg.starts_at), Rapid(z=leg.start_height)]
        moves += legs_alone(leg, running.feed)
    return clock(moves) if moves else 0.0

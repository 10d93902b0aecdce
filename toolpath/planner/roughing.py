"""Dish roughing: levels, or layers along the new section where the old dish leaves only a skin of metal."""

import math
from collections.abc import Callable, Iterator
from typing import TypeAlias

from toolpath.geometry.chain import Chain, higher, stretches_above
from toolpath.geometry.reach import centre_curve
from toolpath.geometry.segments import Line
from toolpath.geometry.tolerance import COUNT, JOIN
from toolpath.planner.entry import ALIGNED, LEAST_ROOM, STEEPEST, Leg, lead_in
from toolpath.planner.passes import TOO_THIN, Pass, PassKind, Rules, bite, climbing, joined, last_metal, taken
from toolpath.planner.stock import Stock

MORE_LAYERS = 2  # over the fewest, where a corner would take two of them at once
DOWN = math.radians(19)  # at most of a way in that follows the contour; common practice, no source
A_PASS = 4.0  # mm of feed that the rapids and the way in of a pass are worth

Passes: TypeAlias = list[tuple[Pass, Stock]]
Way: TypeAlias = Callable[[Stock, Chain, float, PassKind, Rules], Iterator[tuple[Pass, Stock]]]


def rough_passes(stock: Stock, cut: Chain, rules: Rules) -> Passes:
    """Levels or layers down to the allowance, whichever feeds less; nothing where one contour takes it all."""
    if not _too_much_at_once(stock, cut, rules):
        return []
    best = levels = list(_levels(stock, cut, rules))
    most = sum(one.kind == "rough" for one, _ in levels)
    grown = centre_curve(cut, stock.radius + rules.allowance)
    thick = bite(stock, stock.after([grown]))
    for way, layers in ((_along, most), (_down, 2 * most)):
        found = _layers(stock, cut, rules, way, thick, layers, _cost(best))
        if 0 < len(found) <= len(levels) and _cost(found) < _cost(best):
            best = found
    return best


def _cost(passes: Passes) -> float:
    return sum(A_PASS + sum(s.length for leg in one.legs for s in leg.path.segments) for one, _ in passes)


def _layers(
    stock: Stock, cut: Chain, rules: Rules, way: Way, thick: float, most: int, worth: float
) -> Passes:
    """Contours through `thick` mm of metal, each a depth of cut below the one before; nothing where they do not do.

    They do not where they come to cost `worth`. What they leave beside a wall is taken by levels.
    """
    fewest = max(1, math.ceil(thick / rules.dish_depth - COUNT))
    for count in range(fewest, min(fewest + MORE_LAYERS, most) + 1):
        passes: Passes = []
        left = stock
        for one, left in _layered(
            stock, cut, rules, way, [thick * k / count for k in reversed(range(count))]
        ):
            if one.bite > rules.dish_depth:
                break
            passes.append((one, left))
            if _cost(passes) >= worth:
                return []
        else:
            rest = _levels(left, cut, rules) if _too_much_at_once(left, cut, rules) else ()
            for level in rest:
                passes.append(level)
                if _cost(passes) >= worth:
                    return []
            return passes
    return []


def _layered(
    stock: Stock, cut: Chain, rules: Rules, way: Way, over: list[float]
) -> Iterator[tuple[Pass, Stock]]:
    """Contours so far `over` the cut grown by the allowance (mm), one after another."""
    left = stock
    for height in over:
        for one, after in way(left, cut, rules.allowance + height, "rough", rules):
            yield one, after
            left = after


def _along(
    stock: Stock, cut: Chain, over: float, kind: PassKind, rules: Rules
) -> Iterator[tuple[Pass, Stock]]:
    """Contours outward, `over` mm above the cut, wherever there is metal over them."""
    path = centre_curve(cut, stock.radius + over)
    for lo, hi in joined(stretches_above(stock.centre, path, by=TOO_THIN)):
        lead = lead_in(path, lo, stock, rules.ramp, rules.clearance)
        end = last_metal(stock, path, lead.start, hi)
        legs = [*lead.legs, Leg(climbing(path, lead.start, end, math.inf), True)]
        one, stock = taken(kind, stock, legs, lead.descend)
        yield one, stock


def _down(
    stock: Stock, cut: Chain, over: float, kind: PassKind, rules: Rules
) -> Iterator[tuple[Pass, Stock]]:
    """Contours inward, `over` mm above the cut: down its own slope from where that comes out of all metal.

    Where the contour is steeper than a ramp may follow, the way down is a straight slope over it.
    """
    path = centre_curve(cut, stock.radius + over)
    for lo, hi in joined(stretches_above(stock.centre, path, by=TOO_THIN)):
        clear = [s for s in stretches_above(path, stock.wary_centre, by=-ALIGNED) if s[1] > hi + ALIGNED]
        if not clear:
            continue
        start = max(clear[0][0], hi)
        height = path.at(min(start + ALIGNED, path.outer))  # on top, where a wall stands
        if start - lo < LEAST_ROOM or start > stock.wary_centre.outer:
            continue
        slope = Line(lo, height - math.tan(DOWN) * (start - lo), start, height)
        leg = Leg(higher(path.clipped(lo, start), Chain((slope,))), False)
        if any(max(s.start_direction, s.end_direction) > STEEPEST for s in leg.path.segments):
            continue  # over a hub
        descend = max(leg.start_height, stock.wary_centre.at(start) + rules.clearance)
        one, stock = taken(kind, stock, [leg], descend)
        yield one, stock


def _levels(stock: Stock, cut: Chain, rules: Rules) -> Iterator[tuple[Pass, Stock]]:
    """Levels of equal depth down to the allowance, then a contour where steps remain.

    Each level follows the cut grown by the allowance wherever that stands higher, so it ends by
    climbing the grown contour to the level above, and the last one follows a curved floor.
    """
    grown = centre_curve(cut, stock.radius + rules.allowance)
    bottom = grown.clipped(0.0, stock.surface.outer).lowest  # not beside the land
    top = _metal_top(stock, grown)
    levels = max(1, math.ceil((top - bottom) / rules.dish_depth - COUNT))
    for k in range(1, levels + 1):
        z = top - (top - bottom) * k / levels
        above = top - (top - bottom) * (k - 1) / levels
        path = higher(grown, Chain.flat(z, grown.outer))
        for lo, hi in joined(stretches_above(stock.centre, path, by=TOO_THIN)):
            done = _level(stock, path, lo, hi, above, rules)
            if done is not None:
                _, stock = done
                yield done
    if _too_much_at_once(stock, cut, rules):
        yield from _along(stock, cut, rules.allowance / 2, "semi", rules)


def _level(
    stock: Stock, path: Chain, lo: float, hi: float, above: float, rules: Rules
) -> tuple[Pass, Stock] | None:
    """The pass of one level, of its ramp alone where that leaves nothing; None where there is no ramp either."""
    lead = lead_in(path, lo, stock, rules.ramp, rules.clearance)
    legs = list(lead.legs)
    after = stock.after(leg.path for leg in legs)
    left = stretches_above(after.centre, path.clipped(0.0, hi), by=TOO_THIN)
    if left and left[-1][1] > lead.start + JOIN:
        end = last_metal(after, path, lead.start, left[-1][1])
        cut = climbing(path, lead.start, max(end, lead.start + 2 * JOIN), above)
        legs.append(Leg(cut, True))
        after = after.after([cut])
    return taken("rough", stock, legs, lead.descend, after) if legs else None


def _steps_remain(stock: Stock, cut: Chain, rules: Rules) -> bool:
    """Whether more than twice the allowance, or than one bite, stands over the cut somewhere."""
    twice = centre_curve(cut, stock.radius + min(2 * rules.allowance, rules.dish_depth - TOO_THIN))
    return bool(stretches_above(stock.centre, twice, by=TOO_THIN))


def _too_much_at_once(stock: Stock, cut: Chain, rules: Rules) -> bool:
    """Whether steps remain, or one contour would take more than the depth of cut: in a corner it meets both sides."""
    contour = [centre_curve(cut, stock.radius)]
    return _steps_remain(stock, cut, rules) or bite(stock, stock.after(contour)) > rules.dish_depth


def _metal_top(stock: Stock, grown: Chain) -> float:
    """The highest centre at which there is metal over the grown cut."""
    where = stretches_above(stock.centre, grown, by=TOO_THIN)
    return max((stock.centre.clipped(lo, hi).highest for lo, hi in where), default=grown.lowest)

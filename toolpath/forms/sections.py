"""The forms of a dish as exact sections: crown at z = 0, dish below it, from the axis to the crown's edge.

All lengths are mm and radii, not diameters; angles are radians. A form that its numbers cannot make
raises `Stopped` with a finding.
"""

import math

from toolpath.findings import Finding, Stopped
from toolpath.geometry.chain import Chain, deeper
from toolpath.geometry.roots import root
from toolpath.geometry.segments import HALF_PI, Arc, Line, Segment
from toolpath.geometry.tolerance import JOIN, SLIVER
from toolpath.units import cc


def rim(mouth: float, outer: float) -> list[Segment]:
    """The rim from the mouth to the crown's edge."""
    if mouth > outer + JOIN:
        raise Stopped(
            Finding(
                "refused",
                "mouth-beyond-crown",
                f"the dish mouth of diameter {2 * mouth:.3f} mm runs beyond the crown",
                2 * mouth,
                2 * outer,
                "mm",
                "state a smaller dish.mouth_diameter or check piston.crown_diameter",
            )
        )
    return [Line(mouth, 0.0, outer, 0.0)] if outer - mouth > JOIN else []


def cap_volume(mouth: float, depth: float) -> float:
    """Volume of a spherical cap, mm3: pi h (3 a^2 + h^2) / 6 (any table of solids)."""
    return math.pi * depth * (3 * mouth**2 + depth**2) / 6


def cap_depth(mouth: float, volume: float) -> float:
    """Depth of the cap of a mouth radius and volume; at most a half ball.

    Raises:
        Stopped: the volume is more than the half ball over that mouth holds.
    """
    most = cap_volume(mouth, mouth)
    if volume > most:
        raise Stopped(
            Finding(
                "refused",
                "dish-over-half-ball",
                f"a spherical dish of mouth {2 * mouth:.3f} mm cannot hold {cc(volume):.3f} cc",
                cc(volume),
                cc(most),
                "cc",
                "check dish.mouth_diameter and dish.volume_cc, or those of [existing]",
            )
        )
    return root(lambda h: cap_volume(mouth, h) - volume, 0.0, mouth)


def spherical(mouth: float, depth: float, outer: float) -> Chain:
    """A spherical bowl of mouth radius and depth; the depth is at most the mouth radius."""
    if depth > mouth * (1 + 1e-12):
        raise Stopped(
            Finding(
                "refused",
                "dish-over-half-ball",
                f"a spherical dish of mouth {2 * mouth:.3f} mm cannot be {depth:.3f} mm deep",
                depth,
                mouth,
                "mm",
                "a bowl is at most half its mouth deep: state a larger dish.mouth_diameter or less depth",
            )
        )
    sphere = (mouth**2 + depth**2) / (2 * depth)
    over = sphere - depth
    bowl = Arc(0.0, over, sphere, -HALF_PI, -math.atan2(max(0.0, over), mouth))
    return Chain((bowl, *rim(mouth, outer)))


def flat(
    mouth: float,
    depth: float,
    outer: float,
    *,
    corner: float = 0.0,
    wall: float = 0.0,
    fall: float = 0.0,
    tip: float = 0.0,
) -> Chain:
    """A dish with a level floor (`fall` = 0), or one that falls to the axis by `fall`.

    `corner` is the radius between floor and wall, `wall` the wall's angle from vertical, `tip` the
    radius that rounds a falling floor on the axis. `depth` is the real depth on the axis. A floor
    shallower than the corner has no straight wall: there the corner's arc itself runs out at the
    mouth, and the mouth stays where it is stated.
    """
    if wall + fall > math.radians(89):
        raise Stopped(
            Finding(
                "refused",
                "wall-flatter-than-floor",
                "a wall that leans this far meets no floor that falls this much",
                math.degrees(wall + fall),
                89.0,
                "deg",
                "state a smaller dish.wall_angle or dish.floor_angle",
            )
        )
    slope = math.tan(fall)
    if fall == 0:
        tip = 0.0
    foot = -depth + tip - tip / math.cos(fall)  # where the floor's line would meet the axis
    start = tip * math.sin(fall)
    if foot + mouth * slope > -JOIN:  # so shallow that the falling floor itself runs out at the crown
        return _cone(-foot / slope if slope else 0.0, foot, start, depth, outer, fall, tip)
    reach = foot + corner / math.cos(fall)
    zc = (reach + slope * (mouth - corner / math.cos(wall))) / (1 - slope * math.tan(wall))
    rc = mouth + zc * math.tan(wall) - corner / math.cos(wall)
    top = zc - corner * math.sin(wall)
    if top < -JOIN:
        last = -wall
        end = rc + corner * math.cos(wall) if wall else mouth
    else:
        # the circle through the mouth that touches the floor: (mouth - rc)^2 + zc^2 = corner^2
        a, b, c = 1 + slope**2, reach * slope - mouth, mouth**2 + reach**2 - corner**2
        rc = (-b - math.sqrt(max(0.0, b * b - a * c))) / a
        zc = reach + rc * slope
        last, end = math.atan2(-zc, mouth - rc), mouth
    begin = rc + corner * math.sin(fall)
    if begin < start - SLIVER:
        raise Stopped(
            Finding(
                "refused",
                "mouth-under-corner",
                f"a mouth of diameter {2 * mouth:.3f} mm leaves no floor inside the corner radius",
                2 * mouth,
                2 * (mouth - begin + start),
                "mm",
                "state a larger dish.mouth_diameter or a smaller dish.corner_radius, or a spherical dish",
            )
        )
    floor = _floor(begin, foot, start, depth, fall, tip)
    if corner > JOIN and last > -HALF_PI + fall + 1e-12:
        floor.append(Arc(rc, zc, corner, -HALF_PI + fall, last))
    rise = [Line(end, top, mouth, 0.0)] if top < -JOIN else []
    return Chain((*floor, *rise, *rim(mouth, outer)))


def _floor(end: float, foot: float, start: float, depth: float, fall: float, tip: float) -> list[Segment]:
    out: list[Segment] = []
    if start > JOIN:
        out.append(Arc(0.0, tip - depth, tip, -HALF_PI, -HALF_PI + fall))
    if end - start > JOIN:
        slope = math.tan(fall)
        out.append(Line(start, foot + start * slope, end, foot + end * slope))
    return out


def _cone(
    mouth: float, foot: float, start: float, depth: float, outer: float, fall: float, tip: float
) -> Chain:
    if mouth <= start + JOIN:  # shallower than the rounded tip: a small bowl of the tip's radius
        if depth <= JOIN:
            return Chain.flat(0.0, outer)
        return spherical(math.sqrt(depth * (2 * tip - depth)), depth, outer)
    return Chain((*_floor(mouth, foot, start, depth, fall, tip), *rim(mouth, outer)))


def deepened(old: Chain, drop: float, *, mouth: float | None) -> Chain:
    """The old section (crown already at its place over z = 0) carried down by `drop` mm.

    Inside `mouth` the old form goes down as it is and a wall rises to the crown; without a mouth
    a bowl's sphere is carried on up to the crown, any other form gets its wall at the old mouth.
    """
    outer, crown = old.outer, Chain.flat(0.0, old.outer)
    bowl = old.segments[0]
    if (
        mouth is None
        and isinstance(bowl, Arc)
        and bowl.lower
        and len(old.pieces) <= 2
        and abs(bowl.rc) < JOIN
    ):
        over, sphere = bowl.zc - drop, bowl.radius
        if over >= sphere:
            return crown
        run_out = math.sqrt(sphere**2 - max(0.0, over) ** 2)
        last = -math.atan2(max(0.0, over), run_out)
        wall = [Line(sphere, over, sphere, 0.0)] if over < -JOIN else []
        return Chain((Arc(0.0, over, sphere, -HALF_PI, last), *wall, *rim(run_out, outer)))
    edge = mouth_radius(old.moved(-old.highest)) if mouth is None else mouth
    if edge <= JOIN:
        return crown
    inside = old.clipped(0.0, min(edge, outer)).moved(-drop).pieces
    level = rim(edge, outer)
    section = deeper(Chain.from_pieces((*inside, *level)), crown)
    end = section.segments[-1]
    if level or end.z2 > -JOIN:
        return section
    return Chain((*section.segments, Line(outer, end.z2, outer, 0.0)))


def with_rim(dish: Chain, outer: float) -> Chain:
    """A dish from the axis to its mouth, with the rim from there to the crown's edge."""
    return Chain((*dish.segments, *rim(dish.outer, outer)))


def sunk(dish: Chain, drop: float, outer: float) -> Chain:
    """A dish (axis to mouth, crown at z = 0) carried down by `drop` mm, up where it is negative."""
    section = with_rim(dish, outer)
    return section if drop == 0 else deepened(section, drop, mouth=None)


def scaled(dish: Chain, factor: float) -> Chain:
    """A dish (axis to mouth, crown at z = 0), every length of it `factor` times as large."""

    def larger(s: Segment) -> Segment:
        if isinstance(s, Line):
            return Line(s.r1 * factor, s.z1 * factor, s.r2 * factor, s.z2 * factor)
        return Arc(s.rc * factor, s.zc * factor, s.radius * factor, s.t1, s.t2)

    return Chain(tuple(larger(s) for s in dish.segments))


def beside_old(section: Chain, old: Chain) -> Chain:
    """A section without the stretches at axis and mouth where it only repeats the old one, which stay uncut.

    A drawing of the finished part shows what the old dish leaves of itself. Such a stretch about the axis
    becomes level, if nothing of the old dish stands higher there; one at the mouth ends in a wall.
    """
    run = list(section.segments)
    while run and isinstance(run[-1], Line) and abs(run[-1].z1) < JOIN and abs(run[-1].z2) < JOIN:
        run.pop()
    repeats = [_repeats(s, old) for s in run]
    if all(repeats):
        return section
    first, last = repeats.index(False), len(run) - repeats[::-1].index(False)
    edge = run[first]
    if first and not edge.is_wall and old.clipped(0.0, edge.r1).highest <= edge.z1 + JOIN:
        level = isinstance(edge, Line) and abs(edge.z2 - edge.z1) < JOIN
        floor = Line(0.0, edge.z1, edge.r2 if level else edge.r1, edge.z1)
        run[: first + level], last = [floor], last - first - level + 1
    if last < len(run):
        end = run[last - 1]
        run[last:] = [Line(end.r2, end.z2, end.r2, 0.0)]
    return Chain((*run, *rim(run[-1].r2, section.outer)))


def _repeats(s: Segment, old: Chain) -> bool:
    """Whether a segment lies on the old section."""
    if s.r2 > old.outer:
        return False
    points = Chain((s,)).points(max(1e-3, s.length / 1e3)) if s.r1 >= 0 else None
    return points is not None and bool(old.distances(points).max() < JOIN)


def mouth_radius(section: Chain) -> float:
    """Where the dish meets its crown z = 0, mm: the inner end of the level stretch that ends at the edge."""
    mouth = section.outer
    for s in reversed(section.segments):
        if s.is_wall or abs(s.z1) > JOIN or abs(s.z2) > JOIN or not isinstance(s, Line):
            break
        mouth = s.r1
    return mouth

"""The new cut: its shape, and the one free value solved for the volume."""

import math
from collections.abc import Callable
from functools import cache
from typing import Literal, NamedTuple

from toolpath.findings import Finding, Stopped, attempt
from toolpath.forms.breaks import BreakForm, lip_or_why
from toolpath.forms.points import PointLike
from toolpath.forms.sections import mouth_radius
from toolpath.forms.table import DISH
from toolpath.geometry.chain import Chain, deeper, stretches_above
from toolpath.geometry.reach import as_cut
from toolpath.geometry.roots import root
from toolpath.geometry.tolerance import TIE
from toolpath.units import cc

Free = Literal["depth", "mouth", "skim"]
LEAST = 1e-7  # mm; a cut shallower than this is no cut


class Shape(NamedTuple):
    """A new cut as asked for: mm, radii, rad. `depth` or `mouth` is None while it is to be solved."""

    form: str  # a row of the table of dish forms
    insert_radius: float
    mouth: float | None = None
    depth: float | None = None  # from the finished crown to the deepest point; 0 is no cut
    corner: float = 0.0
    wall: float = 0.0
    fall: float = 0.0
    points: tuple[PointLike, ...] = ()
    dish: Chain | None = None  # as on a drawing: from the axis to the mouth, crown at z = 0
    lip: float = 0.0
    lip_form: BreakForm = "chamfer"

    def drawn(self, old: Chain) -> Chain:
        """The section as drawn, before any thought of the insert; `old` is the old section over z = 0."""
        assert self.depth is not None
        if self.depth <= LEAST:
            return Chain.flat(0.0, old.outer)
        return DISH[self.form].build(self, old)

    @property
    def takes_what_it_gets(self) -> bool:
        """True where a corner tighter than the insert is only a warning: the as-cut section counts."""
        return DISH[self.form].as_cut

    def cut(self, old: Chain, skimmed: Chain) -> Chain:
        """The section that the cut is to leave where it is deeper than the skimmed one, lip included.

        Raises:
            Stopped: the form cannot be made, or its lip break does not fit.
        """
        bare = self.bare(old)
        lip = self.lip_on(bare, skimmed)
        if isinstance(lip, Finding):
            raise Stopped(lip)
        return bare if lip is None else deeper(bare, lip)

    def with_a_lip_that_fits(self, old: Chain, skimmed: Chain) -> "Shape":
        """The same without its lip break where that has no room: a value tried on the way need not have it."""
        return self._replace(lip=0.0) if isinstance(self.lip_on(self.bare(old), skimmed), Finding) else self

    def bare(self, old: Chain) -> Chain:
        """The cut without its lip break."""
        drawn = self.drawn(old)
        return as_cut(drawn, self.insert_radius) if self.takes_what_it_gets else drawn

    def lip_over(self, old: Chain, skimmed: Chain) -> Chain | None:
        """The patch of the lip break, at the mouth of old dish or cut, whichever is wider.

        Raises:
            Stopped: it does not fit.
        """
        lip = self.lip_on(self.bare(old), skimmed)
        if isinstance(lip, Finding):
            raise Stopped(lip)
        return lip

    def lip_on(self, bare: Chain, skimmed: Chain) -> Chain | Finding | None:
        """The lip break on a cut that has none yet, or why it does not fit."""
        if not self.lip:
            return None
        both = deeper(skimmed, bare)
        if mouth_radius(both) <= LEAST:
            return None
        return lip_or_why(both, self.lip, self.lip_form)


def skimmed_section(old: Chain) -> Chain:
    """What the skim leaves of the old section, which stands in the finished crown's frame."""
    return deeper(old, Chain.flat(0.0, old.outer))


class Search(NamedTuple):
    """Everything that a solve needs: the shape, the section as received (crown at z = 0), the bounds."""

    shape: Shape
    received: Chain
    skim: float
    deepest: float  # mm below the finished crown: no cut goes further
    stands: Chain | None = None  # what cuts have left already, over the finished crown

    def volume(self, shape: Shape, skim: float) -> float:
        """Turned volume below the finished crown, lip break included, mm3."""
        old = self.received.moved(skim)
        return self._left(shape, old, skimmed_section(old))

    def solved(self, free: Free, target: Callable[[float], float]) -> tuple[Shape, float]:
        """The shape and skim that reach the target volume, to 1e-9 relative.

        `target` gives the turned volume wanted (mm3) for a skim (mm), since a skim takes from the
        pockets too. The volume stays level while a cut lies inside the old dish; the least cut is
        taken, and none at all where the skimmed old dish already is the target.

        Raises:
            Stopped: no value reaches the target; the finding says the range that can be reached.
        """
        if free == "skim":
            return self._skim_solved(target)
        wanted = target(self.skim)
        bare = self.shape._replace(depth=0.0)
        old = self.received.moved(self.skim)
        skimmed = skimmed_section(old)
        least = self._left(bare, old, skimmed)
        if abs(wanted - least) <= 1e-9 * max(wanted, 1.0):
            return bare, self.skim

        def shaped(value: float) -> Shape:
            return self.shape._replace(depth=value) if free == "depth" else self.shape._replace(mouth=value)

        @cache
        def over(value: float) -> float:
            return self._left(shaped(value), old, skimmed) - wanted

        lo, hi = self._bounds(free, over)

        if wanted < least or over(hi) < 0:
            raise Stopped(_out_of_reach(free, wanted, least, over(hi) + wanted))
        if free == "mouth" and over(lo) > 0:
            raise Stopped(_out_of_reach(free, wanted, over(lo) + wanted, over(hi) + wanted))
        if free == "depth":
            lo, hi = _around(over, wanted / (math.pi * (self.shape.mouth or old.outer) ** 2), lo, hi)
        value = root(over, lo, hi, near=1e-13 * wanted)
        found = shaped(value)
        if found.lip:
            found.cut(old, skimmed)  # the answer must have room for its lip break
        if abs(over(value)) > 1e-8 * wanted:  # the volume steps over the target
            raise Stopped(_out_of_reach(free, wanted, least, over(hi) + wanted))
        return found, self.skim

    def _left(self, shape: Shape, old: Chain, skimmed: Chain) -> float:
        """Turned volume, mm3, of a cut over old dish and standing cuts."""
        return _volume(shape, old, skimmed, self.stands)

    def _bounds(self, free: Free, over: Callable[[float], float]) -> tuple[float, float]:
        """The least and greatest value of the free one that still make the form."""
        outer = self.received.outer
        if free == "depth":
            most = self.deepest
            bound = DISH[self.shape.form].deepest(self.shape)
            if bound is not None:
                most = min(most, bound)
            return 0.0, _furthest(over, LEAST, most)
        most = outer - self.shape.lip
        return _furthest(over, most, LEAST), most

    def _skim_solved(self, target: Callable[[float], float]) -> tuple[Shape, float]:
        def over(skim: float) -> float:
            return self.volume(self.shape, skim) - target(skim)

        most = max(-self.received.lowest, 1.0)
        if abs(over(0.0)) <= 1e-9 * target(0.0):
            return self.shape, 0.0
        if over(0.0) * over(most) > 0:  # a skim takes from the dish, or gives more to a ratio's clearance
            wanted = target(0.0)
            raise Stopped(_out_of_reach("skim", wanted, over(most) + target(most), over(0.0) + wanted))
        return self.shape, root(over, 0.0, most)


def _volume(shape: Shape, old: Chain, skimmed: Chain, stands: Chain | None) -> float:
    """Turned volume of a cut over what stands, mm3; `old` and `skimmed` over the finished crown."""
    bare = shape.bare(old)
    lip = shape.lip_on(bare, skimmed)
    # a value tried on the way need not have room for the lip break
    cut = bare if lip is None or isinstance(lip, Finding) else deeper(bare, lip)
    left = deeper(skimmed, cut)
    return (left if stands is None else deeper(left, stands)).volume_below()


def _furthest(build: Callable[[float], object], good: float, goal: float) -> float:
    """The value nearest to `goal` that can still be built, going there from a `good` one."""

    def valid(value: float) -> bool:
        return not isinstance(attempt(lambda: build(value)), Finding)

    if valid(goal):
        return goal
    bad = goal
    for _ in range(60):
        mid = (good + bad) / 2
        good, bad = (mid, bad) if valid(mid) else (good, mid)
    return good


def _around(over: Callable[[float], float], start: float, lo: float, hi: float) -> tuple[float, float]:
    """A narrower bracket: from `start`, the depth of a cylinder, doubled until it is over."""
    while start < hi and over(start) < 0:
        lo, start = start, 2 * start
    return lo, min(start, hi)


def _out_of_reach(free: Free, wanted: float, least: float, most: float) -> Finding:
    limit = least if wanted < least else most
    named = {"depth": "depth", "mouth": "mouth diameter", "skim": "skim"}[free]
    return Finding(
        "refused",
        "target-out-of-reach",
        f"no {named} makes the turned dish {cc(wanted):.3f} cc; "
        f"{cc(least):.3f} to {cc(most):.3f} cc can be reached",
        cc(wanted),
        cc(limit),
        "cc",
        "state dish.volume_cc in that range (a compression_ratio is a volume), another mouth or another skim"
        if wanted > least
        else "metal does not go back: take more crown.skim, or ask for more dish.volume_cc",
    )


class Corner(NamedTuple):
    """Metal that the insert leaves between a drawn section and what it can cut."""

    area: float  # mm2 of the half section
    volume: float  # mm3
    thickness: float  # mm, the greatest


def left_in_corner(drawn: Chain, radius: float) -> Corner:
    """What a disc of `radius` (mm) leaves of a drawn section that it follows as closely as it can."""
    cut = as_cut(drawn, radius)
    volume = max(0.0, drawn.volume_below(0.0) - cut.volume_below(0.0))
    return Corner(
        area=cut.area_under() - drawn.area_under(),
        volume=volume,
        thickness=float(cut.distances(drawn.points(1e-3)).max()) if volume > 1e-6 else 0.0,
    )


def sharpest(shape: Shape) -> float | None:
    """The tightest concave radius that the form itself has, mm; None where it has none of its own."""
    return DISH[shape.form].sharpest(shape)


def plan_area(cut: Chain, skimmed: Chain) -> float:
    """Plan area where the cut lies below the skimmed section, mm2."""
    where = stretches_above(skimmed, cut, by=TIE)
    return sum(math.pi * (hi * hi - lo * lo) for lo, hi in where)

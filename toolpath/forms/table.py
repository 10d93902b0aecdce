"""The table of dish forms: what each needs, what may be solved, how it is built, its bounds.

A new form is a row here, its builder and its tests. Lengths are mm, angles rad, volumes mm3.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final, NamedTuple, Protocol

from toolpath.findings import Finding
from toolpath.forms import received, sections
from toolpath.forms.points import Point, PointLike, through_points
from toolpath.forms.received import StatedDish
from toolpath.geometry.chain import Chain

Keys = frozenset[str]
Lacks = Iterator[tuple[str, str]]  # key of the table and what is wrong there
POINTS_WANTED: Final = "it is missing; give [[diameter, depth], ...] from the axis outward"
POINTS_KEYS: Final = frozenset({"points", "points_file"})
DRAWING_KEYS: Final = frozenset({"drawing", "layer"})
DRAWING_WANTED: Final = "it is missing; give the name of a DXF file"
SPHERE_KEYS: Final = ("mouth_diameter", "depth", "sphere_radius", "volume_cc")


class Asked(Protocol):
    """A new cut as asked for: radii, the depth from the finished crown to the deepest point."""

    @property
    def mouth(self) -> float | None: ...
    @property
    def depth(self) -> float | None: ...
    @property
    def corner(self) -> float: ...
    @property
    def wall(self) -> float: ...
    @property
    def fall(self) -> float: ...
    @property
    def dish(self) -> Chain | None: ...  # as on a drawing: from the axis to the mouth, crown at z = 0
    @property
    def points(self) -> tuple[PointLike, ...]: ...
    @property
    def insert_radius(self) -> float: ...


class DishForm(NamedTuple):
    """What a form of the new dish is, over the keys that every form has."""

    build: Callable[[Asked, Chain], Chain]  # as drawn, over the old section whose finished crown is at z = 0
    keys: Keys = frozenset()  # its own, of [dish]
    # of them, those it cannot do without: what to give
    needs: Mapping[tuple[str, ...], str] = MappingProxyType({})
    bars: Keys = frozenset()  # keys of every form that this one cannot take
    settled: bool = False  # it is a whole dish when nothing is stated besides what it needs
    own_mouth: bool = False  # it has a mouth where none is stated
    over_old: bool = False  # it is made from the old dish
    by_lengths: bool = True  # lengths and angles alone draw it
    as_cut: bool = False  # a corner tighter than the insert is only a warning: the section as cut counts
    deepest: Callable[[Asked], float | None] = lambda _: None  # a depth that it cannot pass
    sharpest: Callable[[Asked], float | None] = lambda _: (
        None
    )  # its tightest concave radius, where it has one


class ExistingForm(NamedTuple):
    """What a form of the dish as received is."""

    # of the dish as stated, turned volume and crown radius
    build: Callable[[StatedDish, float | None, float], tuple[Chain, list[Finding]]]
    holding: Callable[[StatedDish, Chain, float], Chain]  # the same dish with another turned volume
    keys: Keys = frozenset()  # its own, of [existing]
    lacks: Callable[[Keys], Lacks] = lambda _: iter(())  # what is missing or too much among the stated keys
    odd: Callable[[StatedDish], Lacks] = lambda _: iter(())  # what no such dish can be, of the values
    is_dish: bool = True  # there is a dish: old metal to keep out of, a volume that a pocket can share


def _deepened(asked: Asked, old: Chain) -> Chain:
    return sections.deepened(old, _depth(asked) + old.lowest, mouth=asked.mouth)


def _points(asked: Asked, old: Chain) -> Chain:
    drawn = [Point(*p) for p in asked.points]
    most = -min(p.z for p in drawn)
    wide = 1.0 if asked.mouth is None else asked.mouth / drawn[-1].r
    wider = [Point(p.r * wide, p.z, p.sharp) for p in drawn]
    return through_points(wider, old.outer, depth_scale=_depth(asked) / most)


def _drawn(asked: Asked, old: Chain) -> Chain:
    assert asked.dish is not None
    if asked.mouth is not None:
        return sections.with_rim(sections.scaled(asked.dish, asked.mouth / asked.dish.outer), old.outer)
    section = sections.sunk(asked.dish, _depth(asked) + asked.dish.lowest, old.outer)
    return sections.beside_old(section, old)


def _spherical(asked: Asked, old: Chain) -> Chain:
    return sections.spherical(_mouth(asked), _depth(asked), old.outer)


def _flat(asked: Asked, old: Chain) -> Chain:
    return sections.flat(
        _mouth(asked),
        _depth(asked),
        old.outer,
        corner=asked.corner,
        wall=asked.wall,
        fall=asked.fall,
        tip=asked.insert_radius,
    )


def _depth(asked: Asked) -> float:
    assert asked.depth is not None
    return asked.depth


def _mouth(asked: Asked) -> float:
    assert asked.mouth is not None
    return asked.mouth


def _sphere_radius(asked: Asked) -> float | None:
    if not asked.mouth or not asked.depth:
        return None
    return (asked.mouth**2 + asked.depth**2) / (2 * asked.depth)


def _corner(asked: Asked) -> float:
    return asked.corner


DISH: Final[Mapping[str, DishForm]] = {
    "flat": DishForm(_flat, keys=frozenset({"corner_radius", "wall_angle"}), sharpest=_corner),
    "spherical": DishForm(_spherical, deepest=lambda asked: asked.mouth, sharpest=_sphere_radius),
    "tapered": DishForm(
        _flat,
        keys=frozenset({"corner_radius", "wall_angle", "floor_angle"}),
        needs={("floor_angle",): "it is missing; give the fall of the floor in degrees"},
        sharpest=_corner,
    ),
    "deepened": DishForm(_deepened, own_mouth=True, over_old=True, by_lengths=False, as_cut=True),
    "points": DishForm(
        _points,
        keys=POINTS_KEYS,
        needs={("points", "points_file"): POINTS_WANTED},
        own_mouth=True,
        by_lengths=False,
        as_cut=True,
    ),
    "drawn": DishForm(
        _drawn,
        keys=DRAWING_KEYS | {"fit"},
        needs={("drawing",): DRAWING_WANTED},
        bars=frozenset({"mouth_diameter"}),
        settled=True,
        own_mouth=True,
        by_lengths=False,
        as_cut=True,
    ),
}


def _drawing_lacks(stated: Keys) -> Lacks:
    if "drawing" not in stated:
        yield "drawing", DRAWING_WANTED


def _sphere_lacks(stated: Keys) -> Lacks:
    found = [key for key in SPHERE_KEYS if key in stated]
    if len(found) < 2:
        have = f"only {found[0]} is stated" if found else "none is"
        yield "form", f"a spherical dish needs two of {listed(SPHERE_KEYS)}; {have}"
    if len(found) > 2:
        yield "form", f"two values settle a spherical dish; keep two of {listed(found)}"


def _odd_sphere(old: StatedDish) -> Lacks:
    mouth, depth, sphere = old.mouth_diameter, old.depth, old.sphere_radius
    if mouth and depth and depth > mouth / 2:
        yield (
            "depth",
            f"{depth:g} mm is more than half of existing.mouth_diameter, {mouth:g} mm; "
            "a spherical dish is a hemisphere at most",
        )
    if mouth and sphere and sphere < mouth / 2:
        yield (
            "sphere_radius",
            f"{sphere:g} mm is less than half of existing.mouth_diameter, {mouth:g} mm; "
            "no sphere of this radius has such a mouth",
        )
    if depth and sphere and depth > sphere:
        yield (
            "depth",
            f"{depth:g} mm is more than existing.sphere_radius, {sphere:g} mm; "
            "a spherical dish is a hemisphere at most",
        )


def _flat_lacks(stated: Keys) -> Lacks:
    if "mouth_diameter" not in stated:
        yield "mouth_diameter", "it is missing; a flat dish needs it"
    if {"depth", "volume_cc"} <= stated:
        yield "depth", "it cannot stand beside existing.volume_cc; keep one of the two"
    if not stated & {"depth", "volume_cc"}:
        yield "depth", "it is missing; a flat dish needs depth or volume_cc"


def _points_lack(stated: Keys) -> Lacks:
    if not stated & POINTS_KEYS:
        yield "points", POINTS_WANTED


def listed(keys: Sequence[str]) -> str:
    """Two keys or more as a sentence names them.

    >>> listed(["depth", "points", "volume_cc"])
    'depth, points and volume_cc'
    """
    return f"{', '.join(keys[:-1])} and {keys[-1]}"


EXISTING: Final[Mapping[str, ExistingForm]] = {
    "none": ExistingForm(
        lambda old, turned, outer: (Chain.flat(0.0, outer), []),
        lambda old, section, turned: section,
        is_dish=False,
    ),
    "spherical": ExistingForm(
        lambda *stated: (received.bowl(*stated), []),
        received.bowl_holding,
        keys=frozenset(SPHERE_KEYS),
        lacks=_sphere_lacks,
        odd=_odd_sphere,
    ),
    "flat": ExistingForm(
        lambda *stated: (received.pan(*stated), []),
        received.pan_holding,
        keys=frozenset({"mouth_diameter", "depth", "corner_radius", "volume_cc"}),
        lacks=_flat_lacks,
    ),
    "points": ExistingForm(
        received.measured,
        received.measured_holding,
        keys=POINTS_KEYS | {"volume_cc"},
        lacks=_points_lack,
    ),
    "drawn": ExistingForm(
        received.drawn,
        received.drawn_holding,
        keys=DRAWING_KEYS | {"volume_cc"},
        lacks=_drawing_lacks,
    ),
}

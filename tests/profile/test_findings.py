"""What the piston's findings say, word for word: severity, code, sentence, value, limit, unit, advice."""

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any, cast

import pytest

from toolpath.findings import Finding, Stopped
from toolpath.forms import sections
from toolpath.forms.breaks import lip_or_why
from toolpath.geometry.chain import Chain
from toolpath.geometry.tolerance import JOIN
from toolpath.job.work import Piston
from toolpath.profile import limits
from toolpath.profile.dish import Search, Shape
from toolpath.profile.existing import Pockets, as_received

OUTER = 45.2
PAN = Shape(form="flat", insert_radius=5.0, mouth=34.0, corner=5.0)
BOWL = sections.spherical(32.0, 5.5, OUTER)


def received(form: str, pockets: float = 0.0, **stated: Any) -> list[Finding]:
    blank = dict.fromkeys(
        ("mouth_diameter", "depth", "sphere_radius", "corner_radius", "points_file", "drawing", "volume")
    )
    stated["section_points"] = stated.pop("points", None)
    existing = SimpleNamespace(**({"form": form, "volume_from": "reading"} | blank | stated))
    return as_received(cast(Any, existing), OUTER, pockets)[1]


def stopped(found: Chain | Finding) -> None:
    """What is told, as a stop."""
    assert isinstance(found, Finding)
    raise Stopped(found)


def pocket(skim: float, **stated: Any) -> list[Finding]:
    blank = {"volume": 600.0, "area": 300.0, "area_after_skim": None, "overlap": 0.0, "open_to_edge": False}
    return Pockets((cast(Any, SimpleNamespace(**(blank | stated))),)).findings(skim, plate=True)


def solve(free: Any, target: float, received: Chain = BOWL, **shape: Any) -> None:
    Search(
        shape=Shape(**({"form": "flat", "insert_radius": 5.0, "corner": 5.0} | shape)),
        received=received,
        skim=0.0,
        deepest=12.0,
    ).solved(free, lambda skim: target)


def left(least: float = 1.0, **left: float | None) -> list[Finding]:
    nothing: dict[str, float | None] = {"wall_to_groove": None, "top_land": None, "rim": 50.0}
    names = ("min_floor", "min_wall_to_groove", "min_top_land", "min_rim")
    piston = Piston.model_construct(crown_diameter=2 * OUTER, underside=None, **dict.fromkeys(names, least))
    return limits.findings(limits.Limits(**(nothing | left)), piston)  # type: ignore[arg-type]


def seen(make: Callable[[], Any]) -> Finding:
    try:
        (found,) = make()
    except Stopped as stopped:
        return stopped.finding
    assert isinstance(found, Finding)
    return found


FOUND = [
    (
        lambda: pocket(0.5),
        ("note", "pocket-walls-upright"),
        "pocket 1 is taken to have upright walls, so that its area stays the same over the 0.500 mm of the skim",
        (300.0, None, "mm2"),
        "state area_after_skim_mm2 if its walls slope",
    ),
    (
        lambda: pocket(0.0, open_to_edge=True),
        ("refused", "pocket-open-to-edge"),
        "pocket 1 is open to the crown's edge (pocket.open_to_edge), where a plate on the crown cannot seal it",
        (None, None, ""),
        'read down the bore instead: burette.method = "down-the-bore"',
    ),
    (
        lambda: received("spherical", 800.0, mouth_diameter=64.0, volume=700.0),
        ("refused", "pockets-over-reading"),
        "the reading, existing.volume_cc, is not larger than the pockets alone",
        (0.7, 0.8, "cc"),
        "check it, and volume_cc of each [[pocket]]",
    ),
    (
        lambda: received("spherical", mouth_diameter=40.0, sphere_radius=19.0),
        ("refused", "sphere-under-mouth"),
        "a sphere of radius 19.000 mm has no mouth of diameter 40.000 mm",
        (19.0, 20.0, "mm"),
        "check existing.sphere_radius and existing.mouth_diameter",
    ),
    (
        lambda: received("spherical", sphere_radius=20.0, volume=17000.0),
        ("refused", "dish-over-half-ball"),
        "the stated volume is more than half the stated sphere holds",
        (17.0, 16.7552, "cc"),  # 2 pi 20^3 / 3
        "check existing.volume_cc and existing.sphere_radius",
    ),
    (
        lambda: received("spherical", mouth_diameter=40.0, volume=17000.0),
        ("refused", "dish-over-half-ball"),
        "a spherical dish of mouth 40.000 mm cannot hold 17.000 cc",
        (17.0, 16.7552, "cc"),
        "check dish.mouth_diameter and dish.volume_cc, or those of [existing]",
    ),
    (
        lambda: received("spherical", mouth_diameter=40.0, depth=20.5),
        ("refused", "dish-over-half-ball"),
        "a spherical dish of mouth 40.000 mm cannot be 20.500 mm deep",
        (20.5, 20.0, "mm"),
        "a bowl is at most half its mouth deep: state a larger dish.mouth_diameter or less depth",
    ),
    (
        lambda: received("points", points=[(0.0, -0.25), (40.0, 0.0)]),
        ("refused", "raised-crown"),
        "a measured point stands above the crown; a raised (domed) crown is not for this tool",
        (0.25, 0.0, "mm"),
        "check the sign of existing.points: depths count downward",
    ),
    (
        lambda: received("points", points=[(0.0, 6.0), (40.0, 6.0), (40.0, 0.0)], volume=7400.0),
        ("note", "points-against-volume"),  # a cylinder of 7.540 cc
        "the measured points hold 7.540 cc where 7.400 cc is stated; every depth was multiplied by 0.9815 to fit; "
        "difference",
        (0.13982, None, "cc"),
        "measure again if that is more than the burette can be wrong",
    ),
    (
        lambda: sections.rim(45.3, OUTER),
        ("refused", "mouth-beyond-crown"),
        "the dish mouth of diameter 90.600 mm runs beyond the crown",
        (90.6, 90.4, "mm"),
        "state a smaller dish.mouth_diameter or check piston.crown_diameter",
    ),
    (
        lambda: sections.flat(34.0, 7.0, OUTER, wall=1.5, fall=0.1),
        ("refused", "wall-flatter-than-floor"),
        "a wall that leans this far meets no floor that falls this much",
        (91.6732, 89.0, "deg"),
        "state a smaller dish.wall_angle or dish.floor_angle",
    ),
    (
        lambda: sections.flat(4.0, 7.0, OUTER, corner=5.0),
        ("refused", "mouth-under-corner"),
        "a mouth of diameter 8.000 mm leaves no floor inside the corner radius",
        (8.0, 10.0, "mm"),
        "state a larger dish.mouth_diameter or a smaller dish.corner_radius, or a spherical dish",
    ),
    (
        lambda: stopped(lip_or_why(sections.flat(44.0, 7.0, OUTER), 1.5, "chamfer")),
        ("refused", "break-over-room"),
        "dish.lip_break of 1.500 mm is larger than the rim it stands on",
        (1.5, 1.2, "mm"),
        "state a smaller break",
    ),
    (
        lambda: stopped(lip_or_why(sections.flat(34.0, 1.0, OUTER), 1.5, "chamfer")),
        ("refused", "break-over-room"),
        "dish.lip_break of 1.500 mm is larger than the wall it stands on",
        (1.5, 1.0, "mm"),
        "state a smaller break",
    ),
    (
        lambda: stopped(
            lip_or_why(sections.flat(20.0, 1.0, OUTER), 21.0, "chamfer")
        ),  # further than the axis
        ("refused", "break-over-room"),
        "dish.lip_break of 21.000 mm is larger than the wall it stands on",
        (21.0, 1.0, "mm"),
        "state a smaller break",
    ),
    # the bowl is a cap of 8.934 cc; a pan is its cylinder less 2 pi (m - 0.223368 R) 0.214602 R^2
    (
        lambda: solve("depth", 50000.0, mouth=34.0),
        ("refused", "target-out-of-reach"),
        "no depth makes the turned dish 50.000 cc; 8.934 to 42.472 cc can be reached",
        (50.0, 42.4719, "cc"),
        "state dish.volume_cc in that range (a compression_ratio is a volume), another mouth or another skim",
    ),
    (
        lambda: solve("depth", 8500.0, mouth=34.0),
        ("refused", "target-out-of-reach"),
        "no depth makes the turned dish 8.500 cc; 8.934 to 42.472 cc can be reached",
        (8.5, 8.9340, "cc"),
        "metal does not go back: take more crown.skim, or ask for more dish.volume_cc",
    ),
    (
        lambda: solve("mouth", 50000.0, depth=7.0),
        ("refused", "target-out-of-reach"),
        "no mouth diameter makes the turned dish 50.000 cc; 8.934 to 43.443 cc can be reached",
        (50.0, 43.4430, "cc"),
        "state dish.volume_cc in that range (a compression_ratio is a volume), another mouth or another skim",
    ),
    (
        lambda: solve("skim", 30000.0, mouth=34.0, depth=7.0),
        ("refused", "target-out-of-reach"),
        "no skim makes the turned dish 30.000 cc; 24.313 to 24.313 cc can be reached",
        (30.0, 24.3132, "cc"),
        "state dish.volume_cc in that range (a compression_ratio is a volume), another mouth or another skim",
    ),
    (
        lambda: left(floor_thickness=None),
        ("note", "floor-not-checked"),
        "the metal left between dish and underside was not checked",
        (None, None, ""),
        "measure from the crown to the underside and state piston.underside_depth",
    ),
    (
        lambda: left(floor_thickness=-0.5),
        ("refused", "floor-too-thin"),
        "the dish goes through the underside of the crown, piston.underside_depth",
        (-0.5, 1.0, "mm"),
        "take a shallower dish or a smaller skim",
    ),
    (
        lambda: left(floor_thickness=0.0),
        ("refused", "floor-too-thin"),
        "the dish goes through the underside of the crown, piston.underside_depth",
        (0.0, 1.0, "mm"),
        "take a shallower dish or a smaller skim",
    ),
    (
        lambda: left(floor_thickness=0.5),
        ("refused", "floor-too-thin"),
        "less than piston.min_floor is left between dish and underside",
        (0.5, 1.0, "mm"),
        "take a shallower, wider dish or a smaller skim",
    ),
    (
        lambda: left(floor_thickness=9.0, wall_to_groove=0.5),
        ("refused", "wall-to-groove"),
        "less than piston.min_wall_to_groove is left between the dish and the root of the top ring groove",
        (0.5, 1.0, "mm"),
        "take a smaller mouth diameter or a larger corner radius",
    ),
    (
        lambda: left(floor_thickness=9.0, top_land=0.5),
        ("refused", "top-land"),
        "less than piston.min_top_land is left of the top land after the skim",
        (0.5, 1.0, "mm"),
        "take a smaller skim",
    ),
    (
        lambda: left(floor_thickness=9.0, rim=0.5),
        ("refused", "rim-width"),
        "less than piston.min_rim is left of the flat rim between dish and crown edge",
        (0.5, 1.0, "mm"),
        "take a smaller mouth diameter or smaller breaks",
    ),
]


@pytest.mark.parametrize(
    ("make", "kind", "what", "figures", "advice"), FOUND, ids=[f"{case[1][1]}: {case[2]}" for case in FOUND]
)
def test_every_finding(make: Callable[[], Any], kind: Any, what: str, figures: Any, advice: str) -> None:
    severity, code, said, value, limit, unit, told = seen(make)
    assert ((severity, code), said, unit, told) == (kind, what, figures[2], advice)
    assert (value, limit) == tuple(f if f is None else pytest.approx(f, abs=5e-4) for f in figures[:2])


def test_a_mouth_within_a_joint_of_the_edge_is_the_edge() -> None:
    assert sections.rim(OUTER + JOIN, OUTER) == []

"""Every way of stating the dish as received, and the pockets beside it."""

import math
from types import SimpleNamespace
from typing import Any, cast

import pytest

from toolpath.findings import Stopped
from toolpath.forms.sections import cap_volume, flat, mouth_radius
from toolpath.geometry.segments import Arc
from toolpath.profile.existing import Pockets, as_received, holding

OUTER = 45.2
DEPTH, MOUTH = 5.5, 32.0
SPHERE = (MOUTH**2 + DEPTH**2) / (2 * DEPTH)
VOLUME = math.pi * DEPTH**2 * (3 * SPHERE - DEPTH) / 3  # cap, encyclopedia article


def existing(form: str, **stated: Any) -> Any:
    blank = dict.fromkeys(
        ("mouth_diameter", "depth", "sphere_radius", "corner_radius", "points_file", "drawing", "volume")
    )
    stated["section_points"] = stated.pop("points", None)
    return cast(Any, SimpleNamespace(**({"form": form, "volume_from": "reading"} | blank | stated)))


def pocket(**stated: Any) -> Any:
    blank = {"area_after_skim": None, "overlap": 0.0, "open_to_edge": False}
    return cast(Any, SimpleNamespace(**(blank | stated)))


def test_none_is_a_plain_crown() -> None:
    section, findings = as_received(existing("none"), OUTER, 0.0)
    assert section.volume_below() == 0
    assert section.outer == OUTER
    assert findings == []


@pytest.mark.parametrize(
    "stated",
    [
        {"mouth_diameter": 2 * MOUTH, "depth": DEPTH},
        {"mouth_diameter": 2 * MOUTH, "sphere_radius": SPHERE},
        {"mouth_diameter": 2 * MOUTH, "volume": VOLUME},
        {"depth": DEPTH, "sphere_radius": SPHERE},
        {"depth": DEPTH, "volume": VOLUME},
        {"sphere_radius": SPHERE, "volume": VOLUME},
    ],
    ids=lambda stated: " and ".join(stated),
)
def test_any_two_numbers_give_the_bowl(stated: dict[str, float]) -> None:
    section, findings = as_received(existing("spherical", **stated), OUTER, 0.0)
    bowl = section.segments[0]
    assert isinstance(bowl, Arc)
    assert bowl.radius == pytest.approx(SPHERE, rel=1e-9)
    assert section.lowest == pytest.approx(-DEPTH, rel=1e-9)
    assert mouth_radius(section) == pytest.approx(MOUTH, rel=1e-9)
    assert section.volume_below() == pytest.approx(VOLUME, rel=1e-9)
    assert findings == []


def test_mouth_and_sphere_mean_the_shallow_cap() -> None:
    section, _ = as_received(existing("spherical", mouth_diameter=60.0, sphere_radius=50.0), OUTER, 0.0)
    assert section.lowest == pytest.approx(-10.0)  # not the 90 mm of the cap beyond the equator


@pytest.mark.parametrize(
    ("stated", "text"),
    [
        pytest.param(
            {"mouth_diameter": 40.0, "depth": 20.5}, "at most half its mouth deep", id="depth over half"
        ),
        pytest.param(
            {"depth": 20.5, "sphere_radius": 20.0}, "at most half its mouth deep", id="depth over sphere"
        ),
        pytest.param(
            {"depth": 20.0, "volume": 12000.0}, "at most half its mouth deep", id="too little for its depth"
        ),
        pytest.param(
            {"mouth_diameter": 40.0, "sphere_radius": 19.0}, "has no mouth of diameter 40", id="small sphere"
        ),
        pytest.param(
            {"mouth_diameter": 40.0, "volume": 17000.0}, "cannot hold 17.000 cc", id="over the half ball"
        ),
        pytest.param(
            {"sphere_radius": 20.0, "volume": 17000.0}, "half the stated sphere", id="over half the sphere"
        ),
        pytest.param(
            {"mouth_diameter": 91.0, "depth": 5.0}, "runs beyond the crown", id="mouth over the crown"
        ),
        pytest.param(
            {"depth": 5.0, "sphere_radius": 300.0}, "runs beyond the crown", id="bowl over the crown"
        ),
    ],
)
def test_bowls_that_cannot_be(stated: dict[str, float], text: str) -> None:
    with pytest.raises(Stopped, match=text):
        as_received(existing("spherical", **stated), OUTER, 0.0)


@pytest.mark.parametrize("corner", [None, 2.0, 5.0])
@pytest.mark.parametrize("depth", [0.4, 3.0, 9.0])
def test_flat_by_depth_or_by_volume(corner: float | None, depth: float) -> None:
    volume = flat(34.0, depth, OUTER, corner=corner or 0.0).volume_below()
    by_depth, _ = as_received(
        existing("flat", mouth_diameter=68.0, depth=depth, corner_radius=corner), OUTER, 0.0
    )
    by_volume, _ = as_received(
        existing("flat", mouth_diameter=68.0, volume=volume, corner_radius=corner), OUTER, 0.0
    )
    assert by_depth.volume_below() == pytest.approx(volume, rel=1e-9)
    assert by_volume.lowest == pytest.approx(-depth, rel=1e-8)
    assert by_volume.volume_below() == pytest.approx(volume, rel=1e-9)


@pytest.mark.parametrize(("mouth", "corner", "depth"), [(34.0, 5.0, 60.0), (0.5, 0.0, 10.0)])
def test_a_flat_dish_far_deeper_than_wide_is_found_too(mouth: float, corner: float, depth: float) -> None:
    volume = flat(mouth, depth, OUTER, corner=corner).volume_below()
    stated = existing("flat", mouth_diameter=2 * mouth, volume=volume, corner_radius=corner)
    assert as_received(stated, OUTER, 0.0)[0].lowest == pytest.approx(-depth, rel=1e-8)


def test_flat_sharp_is_a_cylinder() -> None:
    section, _ = as_received(existing("flat", mouth_diameter=60.0, depth=3.0), OUTER, 0.0)
    assert section.volume_below() == pytest.approx(math.pi * 30**2 * 3, rel=1e-9)


def bowl_points() -> list[tuple[float, float]]:
    radii = (0.0, 8.0, 16.0, 24.0, 32.0)
    return [(2 * r, DEPTH - SPHERE + math.sqrt(SPHERE**2 - r**2)) for r in radii]


def test_points_are_diameters_and_depths() -> None:
    section, findings = as_received(existing("points", points=bowl_points()), OUTER, 0.0)
    assert section.volume_below() == pytest.approx(VOLUME, rel=1e-9)
    assert findings == []


@pytest.mark.parametrize(("stated", "severity"), [(1.02 * VOLUME, "note"), (1.2 * VOLUME, "warning")])
def test_points_are_scaled_to_the_stated_volume_and_say_so(stated: float, severity: str) -> None:
    section, findings = as_received(existing("points", points=bowl_points(), volume=stated), OUTER, 0.0)
    assert section.volume_below() == pytest.approx(stated, rel=1e-9)
    assert mouth_radius(section) == pytest.approx(32.0)
    (mismatch,) = findings
    assert (mismatch.severity, mismatch.code) == (severity, "points-against-volume")
    assert mismatch.value == pytest.approx((VOLUME - stated) / 1000)
    assert f"{VOLUME / 1000:.3f} cc where {stated / 1000:.3f} cc" in mismatch.what


def test_a_raised_crown_is_a_stop() -> None:
    with pytest.raises(Stopped, match="stands above the crown") as stop:
        as_received(existing("points", points=[(0.0, -1.5), (40.0, 0.0)]), OUTER, 0.0)
    assert stop.value.finding.code == "raised-crown"
    assert stop.value.finding.value == pytest.approx(1.5)


def test_points_wider_than_the_crown_are_a_stop() -> None:
    with pytest.raises(Stopped, match="runs beyond the crown"):
        as_received(existing("points", points=[(0.0, 4.0), (60.0, 3.0), (92.0, 0.0)]), OUTER, 0.0)


@pytest.mark.parametrize("form", ["spherical", "flat", "points"])
def test_a_reading_contains_the_pockets_a_nominal_volume_does_not(form: str) -> None:
    stated: dict[str, Any] = {"volume": 9300.0}
    if form == "points":
        stated["points"] = bowl_points()
    else:
        stated["mouth_diameter"] = 64.0
    reading, _ = as_received(existing(form, **stated), OUTER, 800.0)
    nominal, _ = as_received(existing(form, **stated, volume_from="nominal"), OUTER, 800.0)
    assert reading.volume_below() == pytest.approx(8500.0, rel=1e-9)
    assert nominal.volume_below() == pytest.approx(9300.0, rel=1e-9)


def test_a_reading_no_larger_than_the_pockets_is_a_stop() -> None:
    with pytest.raises(Stopped, match="not larger than the pockets alone") as stop:
        as_received(existing("spherical", mouth_diameter=64.0, volume=700.0), OUTER, 800.0)
    assert (stop.value.finding.value, stop.value.finding.limit) == pytest.approx((0.7, 0.8))


# the same dish with another volume


@pytest.mark.parametrize(
    "stated",
    [
        existing("spherical", mouth_diameter=64.0, depth=5.5),
        existing("flat", mouth_diameter=68.0, depth=4.0, corner_radius=2.0),
        existing("flat", mouth_diameter=68.0, depth=4.0),
        existing("points", points=[(0.0, 6.0), (24.0, 5.4), (40.0, 4.5), (52.0, 3.0), (66.0, 0.0)]),
    ],
    ids=["spherical", "flat", "flat sharp", "points"],
)
def test_holding_keeps_form_and_mouth(stated: Any) -> None:
    section, _ = as_received(stated, OUTER, 0.0)
    other = holding(stated, section, 12000.0)
    assert other.volume_below() == pytest.approx(12000.0, rel=1e-9)
    assert mouth_radius(other) == pytest.approx(mouth_radius(section))
    assert other.outer == OUTER
    assert [type(s) for s in other.segments] == [type(s) for s in section.segments]
    same = holding(stated, section, section.volume_below())
    for one, two in zip(same.segments, section.segments, strict=True):
        assert (one.r1, one.z1, one.r2, one.z2) == pytest.approx((two.r1, two.z1, two.r2, two.z2), abs=1e-7)


def test_holding_nothing_is_the_section_as_it_is() -> None:
    plain, _ = as_received(existing("none"), OUTER, 0.0)
    assert holding(existing("none"), plain, 7000.0) is plain
    stated = existing("spherical", mouth_diameter=64.0, depth=5.5)
    section, _ = as_received(stated, OUTER, 0.0)
    assert holding(stated, section, 0.0) is section


# pockets


def test_no_pockets_are_nothing() -> None:
    assert Pockets().volume(0.5) == 0
    assert Pockets().area(0.5) == 0
    assert Pockets().findings(0.5, plate=True) == []


def test_a_skim_takes_the_mean_area_of_each_pocket() -> None:
    """skim * (A0 + A1)/2, A1 = A0 where it is not stated (design, vocabulary)."""
    upright, slanted = (
        pocket(volume=600.0, area=300.0),
        pocket(volume=500.0, area=320.0, area_after_skim=280.0),
    )
    both = Pockets((upright, slanted))
    assert both.volume(0.0) == pytest.approx(1100.0)
    assert both.volume(0.5) == pytest.approx(600 - 150 + 500 - 150)
    assert both.area(0.5) == pytest.approx(300 + 280)


def test_the_shared_volume_is_counted_once() -> None:
    assert Pockets((pocket(volume=600.0, area=300.0, overlap=80.0),)).volume(0.0) == pytest.approx(520.0)


def test_a_pocket_that_is_skimmed_away_is_gone() -> None:
    shallow = Pockets((pocket(volume=60.0, area=300.0, overlap=10.0),))
    assert shallow.volume(0.3) == 0
    assert shallow.area(0.3) == 0


def test_findings_of_pockets() -> None:
    pockets = Pockets((pocket(volume=600.0, area=300.0), pocket(volume=5.0, area=9.0, area_after_skim=8.0)))
    (note,) = pockets.findings(0.5, plate=True)
    assert (note.severity, note.code) == ("note", "pocket-walls-upright")
    assert "pocket 1 is taken to have upright walls" in note.what
    assert pockets.findings(0.0, plate=True) == []


def test_a_plate_cannot_seal_an_edge_open_pocket() -> None:
    pockets = Pockets((pocket(volume=600.0, area=300.0, open_to_edge=True),))
    (stop,) = pockets.findings(0.0, plate=True)
    assert (stop.severity, stop.code) == ("refused", "pocket-open-to-edge")
    assert pockets.findings(0.0, plate=False) == []


def test_cap_volume_is_what_the_bowl_holds() -> None:
    assert cap_volume(MOUTH, DEPTH) == pytest.approx(VOLUME, rel=1e-12)

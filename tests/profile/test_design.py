"""From a job to its solved dish: what is free, what a reading sees besides, and the skim."""

import math
from pathlib import Path
from typing import Any

import pytest

from tests.drawing.sheets import sheet
from tests.job.conftest import job_text, read
from toolpath.api import load_job
from toolpath.findings import Stopped
from toolpath.profile.asked import asked
from toolpath.profile.design import Design, designed
from toolpath.tool.stated import insert_of

Changes = dict[str, str | None]

WIDE: Changes = {  # an old dish 64 mm across with upright walls
    "existing.form": '"flat"',
    "existing.mouth_diameter": "64",
    "existing.corner_radius": "0.2",
    "existing.volume_cc": "8.0",
}
NARROW: Changes = WIDE | {"existing.mouth_diameter": "40", "existing.volume_cc": "3.0"}
ENGINE: Changes = {
    "engine.bore": "91.0",
    "engine.stroke": "100.0",
    "engine.chamber_cc": "62.0",
    "engine.gasket_bore": "92.0",
    "engine.gasket_thickness": "1.2",
    "engine.deck_clearance": "0.2",
    "engine.crevice_cc": "0.6",
    "piston.top_land": "8.0",
}
BORE: Changes = ENGINE | {
    "burette.capacity_cc": "25",
    "burette.class": '"A"',
    "burette.graduation_cc": "0.05",
    "burette.method": '"down-the-bore"',
    "burette.piston_below_deck": "0.2",
}
PAN: Changes = {"dish.form": '"points"', "dish.mouth_diameter": None, "dish.depth": "6"}
POCKET: Changes = {"pocket": "[{volume_cc = 2.0, area_mm2 = 400, overlap_cc = 0.5}]"}
EDGE: Changes = {"crown.edge_break": "1.0"}
NO_VOLUME: Changes = {"dish.volume_cc": None}


def design_of(*changes: Changes) -> Design:
    job = read(job_text({key: value for more in changes for key, value in more.items()}))
    return designed(job, insert_of(job))


def disc(diameter: float) -> float:
    return math.pi / 4 * diameter**2


def chamfer(size: float, inner: float) -> float:
    """A triangle whose upright side is at `inner`, round the axis (Pappus)."""
    return 2 * math.pi * (inner + size / 3) * size**2 / 2


EDGE_VOLUME = 2 * math.pi * (45.2 - 1.0 / 3) * 0.5  # its upright side is the crown's outside


# ---- which value is free ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "free"),
    [
        ({}, "depth"),
        (NO_VOLUME | {"dish.depth": "3"}, None),
        ({"dish.mouth_diameter": None, "dish.depth": "3"}, "mouth"),
        ({"dish.depth": "3"} | WIDE, "skim"),
        ({"dish.form": '"deepened"', "dish.mouth_diameter": None, "dish.depth": "3"} | WIDE, "skim"),
        ({"dish.volume_cc": None, "dish.compression_ratio": "9"} | ENGINE, "depth"),
        (
            {"dish.volume_cc": None, "dish.compression_ratio": "9", "dish.depth": "3"} | ENGINE | WIDE,
            "skim",
        ),
    ],
    ids=[
        "depth",
        "none",
        "mouth",
        "skim",
        "skim of a form with its own mouth",
        "depth by ratio",
        "skim by ratio",
    ],
)
def test_the_value_that_is_not_stated_is_free(changes: Changes, free: str | None) -> None:
    job = read(job_text(changes))
    assert asked(job, insert_of(job))[1] == free


@pytest.mark.parametrize(
    ("crown", "skim"),
    [
        ({"cylinder": "[{number = 1, skim = 0.3}]"}, 0.3),
        ({"crown.skim": "0.4"}, 0.4),
        (ENGINE | {"crown.deck_clearance": "0.7"}, 0.5),
        ({"piston.compression_height": "40.5", "crown.compression_height": "40.1"}, 0.4),
    ],
    ids=["its own", "skim", "by deck", "by height"],
)
def test_a_piston_whose_skim_is_stated_keeps_it_and_has_its_mouth_solved(crown: Changes, skim: float) -> None:
    """One of a set: volume, depth and mouth are stated for it, and a skim, by the set or by its own table."""
    volume: Changes = {"dish.volume_cc": "8"}
    if "cylinder" not in crown:
        crown = crown | {"cylinder": "[{number = 1, target_cc = 8}]"}
        volume = NO_VOLUME
    job = read(job_text(WIDE | {"dish.depth": "1.5"} | volume | crown)).for_piston(1)
    assert asked(job, insert_of(job))[1] == "mouth"
    found = designed(job, insert_of(job))
    assert (found.skim, found.depth) == (pytest.approx(skim), pytest.approx(1.5))
    assert found.finished.volume_below() == pytest.approx(8000.0)


def test_the_shape_is_as_the_job_states_it() -> None:
    stated = {
        "dish.wall_angle": "10",
        "dish.corner_radius": "6",
        "dish.lip_break": "0.3",
        "dish.lip_break_form": '"radius"',
    }
    job = read(job_text(stated))
    shape, _ = asked(job, insert_of(job))
    assert (shape.form, shape.mouth, shape.depth, shape.corner) == ("flat", 34.0, None, 6.0)
    assert (shape.lip, shape.lip_form, shape.insert_radius) == (0.3, "radius", 5.0)
    assert (shape.wall, shape.fall) == (pytest.approx(math.radians(10)), 0.0)
    plain, _ = asked(read(job_text()), insert_of(job))
    assert (plain.corner, plain.lip, plain.points, plain.dish) == (5.0, 0.0, (), None)
    fall, _ = asked(read(job_text({"dish.form": '"tapered"', "dish.floor_angle": "2"})), insert_of(job))
    assert fall.fall == pytest.approx(math.radians(2))
    drawn = {
        "dish.form": '"points"',
        "dish.mouth_diameter": None,
        "dish.points": "[[0, 3], [50, 2], [68, 0]]",
    }
    points, _ = asked(read(job_text(drawn)), insert_of(job))
    assert [(p[0], p[1]) for p in points.points] == [(0.0, -3.0), (25.0, -2.0), (34.0, 0.0)]


# ---- the target, however it is stated --------------------------------------------------------------


@pytest.mark.parametrize(
    "changes",
    [
        {},
        WIDE | {"dish.depth": "1.5", "dish.volume_cc": "8"},
        {"dish.mouth_diameter": None, "dish.depth": "3"},
        POCKET | {"crown.skim": "0.5"},
        WIDE | POCKET | {"crown.skim": "0.5"},
        BORE | EDGE | {"crown.skim": "0.5"},
        BORE | WIDE | EDGE | POCKET | {"crown.skim": "0.5", "dish.volume_cc": "12"},
    ],
    ids=["depth", "skim", "mouth", "pocket alone", "pocket and dish", "down the bore", "and all of it"],
)
def test_a_reading_of_the_finished_piston_sees_the_volume_asked_for(changes: Changes) -> None:
    found = design_of(changes)
    wanted = 1000.0 * float(changes.get("dish.volume_cc") or 11.6)
    assert found.target == pytest.approx(wanted)
    assert found.seen(found.finished.volume_below()) == pytest.approx(wanted)


def test_what_a_reading_sees_besides_the_dish_by_hand() -> None:
    """Pocket of 2 cc and 400 mm2 that shares 0.5 cc with the dish; crevice of 0.6 cc along a land of 8 mm; the
    edge break, a triangle of 0.5 mm2, once the crown is cut; half a millimetre off."""
    plate = design_of(WIDE, POCKET, {"crown.skim": "0.5"})
    assert plate.as_received_seen == pytest.approx(8000.0)
    assert plate.received.section.volume_below() == pytest.approx(8000.0 - 1500.0)
    assert plate.received.beside(0.5, cut=True) == pytest.approx(2000.0 - 200.0 - 500.0)
    assert plate.skimmed_seen == pytest.approx(6500.0 - 0.5 * disc(64.0) + 1300.0)
    bare = design_of(POCKET, {"crown.skim": "0.5"})
    assert bare.received.beside(0.5, cut=False) == pytest.approx(1800.0)
    assert bare.received.beside(0.5, cut=True) == pytest.approx(1300.0)
    bore = design_of(WIDE, POCKET, BORE, EDGE, {"crown.skim": "0.5"})
    assert bore.as_received_seen == pytest.approx(8000.0)
    assert bore.received.section.volume_below() == pytest.approx(8000.0 - 1500.0 - 600.0)
    crevice = 600.0 * 7.5 / 8.0
    assert bore.received.crevice(0.5) == pytest.approx(crevice)
    assert bore.received.beside(0.5, cut=False) == pytest.approx(1300.0 + crevice)
    assert bore.received.beside(0.5, cut=True) == pytest.approx(1300.0 + crevice + EDGE_VOLUME)
    assert bore.received.over_crown(0.5) == pytest.approx(disc(91.0) * 0.7)
    assert plate.received.over_crown(0.5) == 0.0


def test_a_crevice_without_a_land_stays_and_one_skimmed_away_is_gone() -> None:
    assert design_of(BORE, {"piston.top_land": None}).received.crevice(0.5) == pytest.approx(600.0)
    assert design_of(BORE).received.crevice(8.5) == 0.0
    assert design_of().received.crevice(0.5) == 0.0
    assert design_of(ENGINE).received.over_crown(0.5) == 0.0
    plate = BORE | {"burette.method": '"plate-on-crown"', "burette.piston_below_deck": None}
    assert design_of(plate).received.over_crown(0.5) == 0.0
    assert design_of(plate, WIDE).received.section.volume_below() == pytest.approx(8000.0)


def test_the_engine_is_the_one_stated() -> None:
    engine = design_of(ENGINE, {"engine.min_head_room": "1.1"}).received.engine
    assert engine is not None
    assert (engine.bore, engine.stroke, engine.chamber) == (91.0, 100.0, 62000.0)
    assert (engine.gasket_bore, engine.gasket_thickness, engine.deck) == (92.0, 1.2, 0.2)
    assert (engine.crevice, engine.top_land, engine.min_head_room) == (600.0, 8.0, 1.1)


@pytest.mark.parametrize(
    ("old", "stated", "ratio"),
    [
        ({}, {"crown.skim": "0.5"}, 8.2),
        (WIDE, {"crown.skim": "0.5"}, 8.2),
        ({}, {"dish.depth": "6"}, 7.5),
        (WIDE, {"dish.depth": "1.5"}, 8.5),
    ],
    ids=["by depth", "by depth over a dish", "by skim", "by skim over a dish"],
)
def test_a_ratio_is_that_of_the_engine_round_the_finished_piston(
    old: Changes, stated: Changes, ratio: float
) -> None:
    """(Vs + Vc) / Vc by hand: chamber, gasket, deck, crevice left, dish, pocket and edge break. A skim gives the
    deck more than it takes from the dish, so it brings a ratio down."""
    wanted = {"dish.volume_cc": None, "dish.compression_ratio": str(ratio)}
    found = design_of(ENGINE, POCKET, EDGE, old, wanted, stated)
    skim, turned = found.skim, found.finished.volume_below()
    pocket = 2000.0 - 400.0 * skim - 500.0
    clearance = 62000.0 + 1.2 * disc(92.0) + (0.2 + skim) * disc(91.0) + 600.0 * (1 - skim / 8.0)
    clearance += turned + pocket + EDGE_VOLUME
    assert 1 + disc(91.0) * 100.0 / clearance == pytest.approx(ratio, rel=1e-9)
    assert found.target == pytest.approx(found.seen(turned)) == pytest.approx(turned + pocket)
    assert found.received.hollow(turned, skim, cut=True) == pytest.approx(turned + pocket + EDGE_VOLUME)
    alone = pocket + (0.0 if old else 500.0)  # a blank crown shares nothing yet
    assert found.received.hollow(0.0, skim, cut=False) == pytest.approx(alone)


def test_where_nothing_is_free_the_target_is_what_will_be_seen() -> None:
    """A pan with upright walls from 5 mm up: a cylinder less its corner, 2 pi (m - 0.223368 R) 0.214602 R^2."""
    found = design_of(BORE, EDGE, NO_VOLUME, {"dish.depth": "7", "crown.skim": "0.5"})
    turned = 7.0 * disc(68.0) - 2 * math.pi * (34.0 - 0.223368 * 5) * 0.214602 * 25
    assert found.target == pytest.approx(turned + 600.0 * 7.5 / 8.0 + EDGE_VOLUME, rel=1e-6)
    assert found.depth == pytest.approx(7.0)


def test_a_reading_may_know_more_of_the_old_dish_than_the_job() -> None:
    job = read(job_text(WIDE))
    larger = design_of(WIDE, {"existing.volume_cc": "9.0"}).received.section
    assert designed(job, insert_of(job), larger).received.section is larger
    assert designed(job, insert_of(job)).received.section.volume_below() == pytest.approx(8000.0)


# ---- the skim --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "skim"),
    [
        ({"crown.skim": "0.3"}, 0.3),
        ({}, 0.0),
        (ENGINE | {"crown.deck_clearance": "0.7"}, 0.5),
        ({"piston.compression_height": "40.5", "crown.compression_height": "40.1"}, 0.4),
        ({"piston.compression_height": "40.5", "crown.compression_height": "40.48"}, 0.02),
        ({"piston.compression_height": "40.5"}, 0.0),
        # depth 3 under a crown in which a dish 64 mm across and 8 cc stays open
        (WIDE | {"dish.mouth_diameter": "60", "dish.depth": "1", "dish.volume_cc": "6"}, 2000.0 / disc(64.0)),
    ],
    ids=["stated", "none", "by deck", "by height", "the least", "a height without a wish", "solved"],
)
def test_the_skim(changes: Changes, skim: float) -> None:
    assert design_of(changes).skim == pytest.approx(skim, abs=1e-9)


def test_a_crown_that_would_not_clean_up() -> None:
    with pytest.raises(Stopped) as caught:
        design_of({"piston.compression_height": "40.5", "crown.compression_height": "40.49"})
    severity, code, said, value, limit, unit, told = caught.value.finding
    assert (severity, code, unit) == ("refused", "height-reach", "mm")
    assert said == "the crown stands 40.500 mm over the pin: to 40.490 mm it would not clean up"
    assert (value, limit) == pytest.approx((0.01, 0.02))
    assert told == "ask for a crown.compression_height of 40.480 mm or less"


# ---- bounds ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("skim", [0.0, 0.5])
@pytest.mark.parametrize(
    ("under", "least"),
    [
        ({"piston.underside_depth": "9"}, 9.0),
        ({"piston.underside": "[[0, 12], [40, 9], [80, 14]]"}, 9.0),
        ({}, 45.2),
    ],
    ids=["level", "by points", "as far as the crown is wide"],
)
def test_no_dish_is_looked_for_below_the_underside(under: Changes, least: float, skim: float) -> None:
    """A pan as deep as what the skim leaves is the most."""
    least -= skim

    def volume(depth: float) -> Changes:
        cut = depth * disc(68.0) - 2 * math.pi * (34.0 - 0.223368 * 5) * 0.214602 * 25
        return {"dish.volume_cc": repr(cut / 1000.0), "crown.skim": str(skim)}

    assert design_of(under, volume(least - 0.01)).depth == pytest.approx(least - 0.01, abs=1e-3)
    with pytest.raises(Stopped, match="no depth makes the turned dish"):
        design_of(under, volume(least + 0.01))


def test_over_a_thin_crown_hardly_any_depth_is_left() -> None:
    bowl = {"dish.form": '"spherical"', "piston.underside_depth": "1.2", "crown.skim": "0.5"}
    most = math.pi * 0.7 * (3 * 34.0**2 + 0.7**2) / 6000.0
    assert design_of(bowl, {"dish.volume_cc": str(most - 0.01)}).depth == pytest.approx(0.7, rel=0.01)
    with pytest.raises(Stopped, match="no depth makes the turned dish"):
        design_of(bowl, {"dish.volume_cc": str(most + 0.01)})


# ---- a drawn dish ----------------------------------------------------------------------------------


def drawn(place: Path, changes: Changes) -> Design:
    """A cone 60 mm across and 6 mm deep, drawn on the layer NEW."""

    def cone(space: Any) -> None:
        space.add_line((0, -6), (30, 0), dxfattribs={"layer": "NEW"})
        if "dish.layer" in changes:
            space.add_line((-90, 50), (90, 50), dxfattribs={"layer": "FRAME"})

    (place / "dish.dxf").write_bytes(sheet(cone))
    keys = {"dish.form": '"drawn"', "dish.mouth_diameter": None, "dish.drawing": '"dish.dxf"'} | changes
    (place / "job.toml").write_text(job_text(keys), encoding="utf-8")
    job = load_job(place / "job.toml")
    return designed(job, insert_of(job))


def test_a_drawn_dish_is_cut_as_drawn_where_nothing_else_is_stated(tmp_path: Path) -> None:
    found = drawn(tmp_path, {"dish.volume_cc": None, "dish.layer": '"NEW"'})
    assert found.drawn.volume_below() == pytest.approx(math.pi * 30.0**2 * 6.0 / 3)
    assert found.shape.depth == pytest.approx(6.0)
    assert found.target == pytest.approx(found.finished.volume_below())  # its tip is left by the insert
    (said,) = (f for f in found.findings() if f.code == "drawing-read")
    assert said.what.startswith("dish: layer NEW of dish.dxf")
    assert said.value == pytest.approx(6.0)


def test_a_drawn_dish_is_scaled_to_a_volume(tmp_path: Path) -> None:
    """Similar solids: the volume goes by the third power. An insert of 5 mm rounds the tip of either."""
    found = drawn(tmp_path, {"dish.volume_cc": "11.6", "dish.fit": '"scale"'})
    assert asked(found.received.job, found.insert)[1] == "mouth"
    assert found.seen(found.finished.volume_below()) == pytest.approx(11600.0)
    assert (found.shape.mouth, found.shape.depth) == (None, pytest.approx(-found.drawn.lowest))
    assert found.shape.dish is not None
    assert found.shape.dish.outer / found.shape.depth == pytest.approx(5.0)
    assert found.drawn.volume_below() == pytest.approx(5 * math.pi * found.shape.dish.outer**3 / 75, rel=1e-6)


def test_a_drawn_dish_is_moved_in_depth_to_a_volume(tmp_path: Path) -> None:
    found = drawn(tmp_path, {"dish.volume_cc": "11.6"})
    assert found.seen(found.finished.volume_below()) == pytest.approx(11600.0)
    assert found.shape.depth is not None
    wall = found.shape.depth - 6.0
    assert found.drawn.volume_below() == pytest.approx(math.pi * 30.0**2 * (6.0 / 3 + wall))

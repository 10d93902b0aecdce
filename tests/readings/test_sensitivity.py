"""How a volume answers to each error, on dishes with upright walls where a book gives the answer: areas of discs,
and rings by Pappus' theorem (a plane figure of area A whose centroid is r from the axis makes 2 pi r A)."""

import math
import re
from dataclasses import replace

import pytest

from tests.readings.test_next_cut import PUMP, bowl, design_of
from tests.table.test_virtual_hand import SLOPES, sloped
from toolpath.findings import Stopped
from toolpath.geometry.chain import Chain, deeper
from toolpath.profile.design import Design
from toolpath.readings.sensitivity import Model

R = 5.0  # mm, of the insert; the new dish has its corner
WIDE = 'form = "flat"\nmouth_diameter = 64.0\nvolume_cc = 6.0\ncorner_radius = 0.2'
ROUND = 'form = "spherical"\nmouth_diameter = 64.0\nvolume_cc = 9.3'
PLAIN = {"piston.underside_depth": "30", "dish.volume_cc": "20"}
HOLE = {**PLAIN, "dish.mouth_diameter": "40"}
BORE = {"burette.method": '"down-the-bore"', "burette.piston_below_deck": "0.0", "crown.edge_break": "2.0"}


def over(old: str, changes: dict[str, str], pocket: str = "", text: str = PUMP) -> Design:
    """A dish with upright walls over another old dish than the sample's."""
    text = re.sub(r"(?s)\[existing\].*?(?=\n\[crown\])", f"[existing]\n{old}\n", text)
    return design_of(changes, f"{text}\n[[pocket]]\n{pocket}\n" if pocket else text)


def disc(diameter: float) -> float:
    return math.pi / 4 * diameter**2


def leaning(mouth: float, wall: float) -> float:
    """Integral of 2 pi r dz up an upright `wall` over a corner of R: what the volume gains per mm outward."""
    r = mouth / 2
    return 2 * math.pi * (r * wall + (r - R) * R + math.pi / 4 * R**2)


def in_corner(mouth: float) -> float:
    """What a corner of R leaves of a square one, per mm of R: the derivative of 2 pi times the first moment of
    a square of R less a quarter disc."""
    r = mouth / 2
    return 2 * math.pi * (2 * R * r - 1.5 * R**2 - math.pi / 4 * (2 * R * r - 3 * R**2) - R**2)


HOLE_CORNER = (
    2 * math.pi * (R**2 * (20.0 - R / 2) - math.pi / 4 * R**2 * (20.0 - R) - R**3 / 3)
)  # 40 mm across


# ---- a cut ----------------------------------------------------------------------------------------


def test_a_dish_that_takes_all_of_the_old_one_answers_like_a_pot():
    """68 mm wide and 9 mm deep, the old bowl wholly inside: of that nothing shows."""
    model = Model(over(ROUND, PLAIN))
    form = model.cut_form(model.deep(9.0).cut, 50.0)
    answers = form.answers
    assert (form.depth, form.mouth) == pytest.approx((9.0, 68.0))
    assert answers.z == pytest.approx(disc(68.0), rel=1e-6)
    assert answers.x == pytest.approx(leaning(68.0, 4.0), rel=1e-3)
    assert answers.insert == pytest.approx(-in_corner(68.0), rel=2e-3)
    assert (answers.old, answers.show, answers.stand, answers.angle) == pytest.approx((0.0,) * 4, abs=1e-6)
    assert form.volume == pytest.approx(model.seen(model.deep(9.0).cut))


def test_touched_on_its_inner_side_a_larger_insert_moves_the_wall_by_twice_as_much():
    """Its path lies e further out, and so does its far side: 2 e of wall beside the corner of the outer touch."""
    model = Model(over(ROUND, {**PLAIN, "tool.control_point": '"face-inner"'}))
    answers = model.cut_form(model.deep(9.0).cut, 0.0).answers
    assert answers.insert == pytest.approx(2 * leaning(68.0, 4.0) - in_corner(68.0), rel=2e-3)


def test_a_hole_in_a_wider_dish_leaves_a_ring_of_it_showing():
    """Old dish flat, 64 mm across; the new one 40 mm across and deeper. A deeper skim takes from the ring alone,
    and a larger old dish of the same mouth counts by the ring's share of it."""
    model = Model(over(WIDE, HOLE))
    form = model.cut_form(model.deep(12.0).cut, 50.0)
    answers = form.answers
    ring = disc(64.0) - disc(40.0)
    assert answers.z == pytest.approx(disc(40.0), rel=1e-6)
    assert answers.show == pytest.approx(ring, rel=1e-6)
    assert answers.old == pytest.approx(ring / disc(64.0), rel=1e-6)
    floor = -model.at_old().skimmed.lowest  # above the old floor the new wall stands in air
    assert answers.x == pytest.approx(leaning(40.0, 12.0 - R - floor), rel=1e-3)


def test_of_an_old_dish_not_yet_read_only_as_much_is_tried_as_leaves_a_dish():
    """Its uncertainty of 2 cc is twice what it holds."""
    model = Model(over(WIDE.replace("6.0", "1.0"), {**HOLE, "crown.skim": "0"}))
    answers = model.cut_form(model.deep(12.0).cut, 2000.0).answers
    assert answers.old == pytest.approx(1 - disc(40.0) / disc(64.0), rel=1e-4)


def test_pockets_show_at_the_crown_after_skim_and_cut():
    """300 mm2 of pocket that a deeper skim makes shallower."""
    model = Model(over(WIDE, HOLE, "volume_cc = 2.0\narea_mm2 = 300"))
    assert model.skimmed_form().answers.show == pytest.approx(disc(64.0) + 300.0, rel=1e-6)
    cut = model.cut_form(model.deep(12.0).cut, 50.0).answers
    assert cut.show == pytest.approx(disc(64.0) - disc(40.0) + 300.0, rel=1e-6)


def test_a_ring_of_the_cut_before_answers_to_that_cut():
    """60 mm wide and 7 mm deep stands; 40 mm wide and 13 mm deep is cut into it. X and insert are those of
    both: two walls, two corners."""
    wide = Model(over(WIDE.replace("64.0", "50.0"), {**PLAIN, "dish.mouth_diameter": "60"}))
    stands = wide.deep(7.0).cut
    model = replace(Model(over(WIDE.replace("64.0", "50.0"), HOLE)), stands=stands)
    answers = model.cut_form(model.deep(13.0).cut, 50.0).answers
    assert answers.z == pytest.approx(disc(40.0), rel=1e-6)
    assert answers.stand == pytest.approx(disc(60.0) - disc(40.0), rel=1e-6)
    assert answers.x == pytest.approx(leaning(60.0, 2.0) + leaning(40.0, 1.0), rel=1e-3)
    assert answers.insert == pytest.approx(-in_corner(60.0) - in_corner(40.0), rel=2e-3)
    assert wide.cut_form(stands, 50.0).answers.stand == 0.0


@pytest.mark.parametrize("old", [0.0, 170.0, -80.0], ids=["as stated", "larger", "smaller"])
@pytest.mark.parametrize("wary", [False, True], ids=["either way", "upward"])
def test_an_uneven_old_dish_answers_over_the_span_of_its_uncertainty(old, wary):
    """A bowl that reaches below the new floor where it is larger. Either way is the half-width of a rectangle,
    root 3 of its u (JCGM 100, 4.3.7); upward as far as a normal value goes in 99.5 of 100 cases."""
    design, u = design_of(), 100.0
    model = Model(design, old)
    cut = model.deep(3.0).cut
    steps = (2.576 * u, 0.0) if wary else (math.sqrt(3) * u, -math.sqrt(3) * u)
    more, less = (Model(design, old + step).seen(cut) for step in steps)
    form = model.cut_form(cut, u, wary=wary)
    assert form.answers.old == pytest.approx((more - less) / (steps[0] - steps[1]), rel=5e-4)
    assert form.volume + form.answers.old * old == pytest.approx(model.seen(cut))


def test_a_wary_answer_is_the_larger_one_and_the_plain_one_the_default():
    model = Model(design_of())
    cut = model.deep(3.0).cut
    plain, wary = (model.cut_form(cut, 100.0, wary=way).answers.old for way in (False, True))
    assert wary > 1.01 * plain
    assert model.cut_form(cut, 100.0).answers.old == plain


@pytest.mark.parametrize("wary", [False, True])
def test_a_certain_old_dish_has_no_part(wary):
    model = Model(design_of())
    assert model.cut_form(model.deep(3.0).cut, 0.0, wary=wary).answers.old == 0.0


def test_a_bowl_that_reaches_the_new_floor_only_at_twice_its_uncertainty():
    """Inside a rectangle of u 100 mm3 (to 173) it never does; a first cut is to expect it."""
    model = Model(over(ROUND, PLAIN))
    cut = model.deep(-Model(model.design, 200.0).at_old().skimmed.lowest).cut
    assert model.cut_form(cut, 100.0).answers.old == 0.0
    assert model.cut_form(cut, 100.0, wary=True).answers.old > 0.0
    assert model.cut_form(cut, 160.0).answers.old > 0.0


@pytest.mark.parametrize(("by_hand", "share"), [(True, 1.0), (False, 0.0)], ids=["top slide", "by program"])
def test_only_a_top_slide_has_an_angle_to_answer_to(by_hand, share):
    """A cone turned about its point: 2 pi r^3 / 3 for each rad."""
    text = sloped(SLOPES["a floor that falls 5 degrees"], inch=False, point="face-outer", top_slide=by_hand)
    model = Model(design_of(None, text))
    found = model.cut_form(model.deep(model.depth_for(model.design.target)).cut, 0.0).answers.angle
    assert found == pytest.approx(share * 2 * math.pi * 30.0**3 / 3, rel=0.1)


def test_a_top_slide_has_nothing_to_turn_on_a_level_floor_with_an_upright_wall():
    by_hand = {
        **PLAIN,
        "machine.post": '"dro-table"',
        "machine.top_slide": "true",
        "machine.readout": '"0.01 mm"',
    }
    model = Model(over(ROUND, by_hand))
    assert model.design.received.job.machine.turns_slopes_by_hand
    assert model.cut_form(model.deep(9.0).cut, 0.0).answers.angle == 0.0


def test_pockets_alone_count_in_full_as_what_was_read_before():
    """There was no dish: what the reading as received sees more is pocket, whatever is cut."""
    model = Model(over('form = "none"', {"dish.volume_cc": "9"}, "volume_cc = 2.0\narea_mm2 = 400"), 150.0)
    assert model.skimmed_form().answers.old == pytest.approx(1.0)
    form = model.cut_form(model.deep(3.0).cut, 50.0)
    assert form.answers.old == pytest.approx(1.0)
    assert form.volume == pytest.approx(model.seen(model.deep(3.0).cut) - 150.0)


def test_no_cut_answers_to_nothing_but_the_old_dish():
    model = Model(over(WIDE, HOLE))
    form = model.cut_form(model.deep(0.0).cut, 50.0)
    answers = form.answers
    assert (form.depth, form.mouth, form.mouth_z, form.mouth_insert) == (0.0, 0.0, 0.0, 0.0)
    assert (answers.z, answers.x, answers.insert) == (0.0, 0.0, 0.0)
    assert (answers.old, answers.show) == pytest.approx((1.0, disc(64.0)), rel=1e-6)


def test_a_mouth_that_runs_out_flat_answers_as_one_of_a_twentieth():
    """A bowl 68 mm across and 0.5 mm deep rises by 0.03 rad at its lip: taken as 0.05."""
    model = Model(over('form = "none"', {"dish.volume_cc": "6"}, text=bowl()))
    form = model.cut_form(model.deep(0.5).cut, 0.0)
    assert form.mouth_z == pytest.approx(2 / math.tan(0.05))


# ---- after the skim -------------------------------------------------------------------------------


def test_what_shows_after_the_skim_is_the_old_mouth():
    """With upright walls all that a dish holds more is below the skim."""
    form = Model(over(WIDE, PLAIN)).skimmed_form()
    assert form.answers.old == pytest.approx(1.0)
    assert form.answers.show == pytest.approx(disc(64.0), rel=1e-6)
    assert form.volume == pytest.approx(6000.0 - 0.5 * disc(64.0))


@pytest.mark.parametrize("old", [0.0, 250.0])
def test_a_bowl_after_the_skim_answers_as_caps_do(old):
    """Caps of one mouth, pi h (3 a^2 + h^2) / 6, with 0.5 mm taken off: two of 0.2 cc more and less."""

    def left(whole: float) -> tuple[float, float]:
        """Volume and mouth area (mm3, mm2) of what the skim leaves of a cap 64 mm across."""
        h = 1.0
        for _ in range(60):  # Newton
            h -= (math.pi * h * (3 * 32.0**2 + h * h) / 6 - whole) / (math.pi * (32.0**2 + h * h) / 2)
        sphere = (32.0**2 + h * h) / (2 * h)
        rest = h - 0.5
        return math.pi * rest**2 * (3 * sphere - rest) / 3, math.pi * rest * (2 * sphere - rest)

    form = Model(over(ROUND, PLAIN), old).skimmed_form()
    answer = (left(9500.0 + old)[0] - left(9100.0 + old)[0]) / 400.0
    assert form.answers.old == pytest.approx(answer, rel=1e-4)
    volume, mouth = left(9300.0 + old)
    assert form.answers.show == pytest.approx(mouth, rel=1e-4)
    assert form.volume + form.answers.old * old == pytest.approx(volume)


def test_an_old_dish_measured_as_none_has_no_part():
    old = 'form = "points"\npoints = [[0, 0], [64, 0]]'
    model = Model(over(old, PLAIN))
    assert model.skimmed_form().answers.old == 0.0
    assert model.cut_form(model.deep(9.0).cut, 50.0).answers.old == 0.0


# ---- what a reading sees --------------------------------------------------------------------------


@pytest.mark.parametrize("old", [-150.0, 0.0, 300.0])
@pytest.mark.parametrize(
    ("design", "volume"),
    [
        (design_of(), 11000.0),
        (design_of(BORE), 11800.0),
        (over('form = "none"', {"dish.volume_cc": "9"}, "volume_cc = 2.0\narea_mm2 = 400"), 8000.0),
        (over(WIDE, HOLE, "volume_cc = 2.0\narea_mm2 = 400\noverlap_cc = 0.3"), 18000.0),
    ],
    ids=["bowl", "down the bore", "pockets alone", "pockets beside a dish"],
)
def test_the_depth_for_a_volume_is_that_at_which_it_is_seen(design, volume, old):
    model = Model(design, old)
    found = model.deep(model.depth_for(volume))
    assert model.seen(found.cut) == pytest.approx(volume, rel=1e-8)
    alone = 0.0 if design.received.job.existing.is_dish else old
    assert found.seen(found.finished.volume_below()) + alone == pytest.approx(volume, rel=1e-8)


def test_over_a_cut_that_stands_a_volume_is_reached_beside_it():
    design = design_of()
    stands = Model(design).deep(3.0).cut
    model = Model(design, stands=stands)
    least = Model(design).seen(stands)
    assert model.least_seen == pytest.approx(least)
    assert model.seen(None) == pytest.approx(least)
    found = model.deep(model.depth_for(least + 200.0))
    assert found.shape.depth > 3.0
    assert found.finished.volume_below() == pytest.approx(least + 200.0)


def test_a_narrow_hole_that_stands_counts_in_the_volume_of_a_wider_dish():
    stands = Model(over(WIDE, HOLE)).deep(12.0).cut
    model = Model(over(WIDE, PLAIN), stands=stands)
    wide = model.deep(7.0).cut
    seen = model.seen(wide)
    assert seen == pytest.approx(replace(model, stands=None).seen(wide) + disc(40.0) * 5.0 - HOLE_CORNER)
    assert model.depth_for(seen) == pytest.approx(7.0)


def test_the_least_to_be_seen_is_the_skimmed_dish_with_what_the_reading_adds():
    """The edge break down the bore, and pockets larger than stated where there is no dish."""
    for old in (0.0, 200.0):
        down = Model(design_of(BORE), old)
        assert down.least_seen == pytest.approx(down.seen(None) + down.design.received.edge_volume)
        bare = Model(over('form = "none"', {"dish.volume_cc": "9"}, "volume_cc = 2.0\narea_mm2 = 400"), old)
        assert bare.least_seen == pytest.approx(2000.0 + old - 0.5 * 400.0)
        assert bare.seen(None) == pytest.approx(bare.least_seen)


@pytest.mark.parametrize(("skim", "deepest"), [("0.5", 13.0), ("1.5", 12.0)])
def test_no_depth_is_looked_for_below_the_underside(skim, deepest):
    """Underside 13.5 mm below the crown as received; seen with a dish that leaves 0.05 mm over it."""
    model = Model(over(ROUND, {"dish.mouth_diameter": "66", "crown.skim": skim}))
    just = model.seen(model.deep(deepest - 0.05).cut)
    assert model.depth_for(just) == pytest.approx(deepest - 0.05, abs=1e-6)
    with pytest.raises(Stopped):
        model.depth_for(just + 0.1 * disc(66.0))


def test_over_a_thin_crown_hardly_any_depth_is_left():
    """Underside at 1.2 mm, 0.5 mm skimmed."""
    model = Model(over('form = "none"', {"piston.underside_depth": "1.2", "dish.volume_cc": "2"}))
    assert model.depth_for(model.seen(model.deep(0.69).cut)) == pytest.approx(0.69)
    with pytest.raises(Stopped):
        model.depth_for(model.seen(model.deep(0.71).cut))


def test_without_an_underside_the_depth_is_as_free_as_the_crown_is_wide():
    text = re.sub(r"(?m)^(underside_depth|min_floor) = .*\n", "", PUMP)
    model = Model(over(ROUND, {}, text=text))
    assert model.depth_for(model.seen(model.deep(44.0).cut)) == pytest.approx(44.0)
    with pytest.raises(Stopped):
        model.depth_for(model.seen(model.deep(45.0).cut))


# ---- metal taken off ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "pocket", ["", "volume_cc = 2.0\narea_mm2 = 300\noverlap_cc = 0.3"], ids=["no pocket", "pocket"]
)
def test_metal_taken_off_is_disc_ring_and_edge(pocket):
    """0.5 mm of a disc of 90.4 mm less old dish and pocket; then a hole of 40 mm below the old floor, and a
    chamfer of 0.4 mm round the crown (a triangle of 0.08 mm2, by Pappus)."""
    model = Model(over(WIDE, HOLE, pocket))
    skim = 0.5 * (disc(90.4) - disc(64.0) - (300.0 if pocket else 0.0))
    assert model.removed(None) == pytest.approx(skim, rel=1e-6)
    floor = -model.at_old().skimmed.lowest
    sharp = disc(40.0) * (12.0 - floor)
    edge = 2 * math.pi * (45.2 - 0.4 / 3) * 0.08
    cut = model.deep(12.0).cut
    assert model.removed(cut) == pytest.approx(skim + sharp - HOLE_CORNER + edge, rel=1e-6)
    # what stands has been taken off too, and once
    both = replace(model, stands=model.deep(11.0).cut)
    assert both.removed(cut) == pytest.approx(model.removed(cut), rel=1e-9)
    assert both.removed(None) == pytest.approx(model.removed(model.deep(11.0).cut) - edge, rel=1e-6)


def test_of_a_larger_old_dish_less_metal_is_taken():
    """Upright walls: what the skim takes is the same, the hole begins on a lower floor."""
    design = over(WIDE, HOLE)
    cut = Model(design).deep(12.0).cut
    less = Model(design).removed(cut) - Model(design, 300.0).removed(cut)
    assert less == pytest.approx(300.0 * disc(40.0) / disc(64.0), rel=1e-6)


def test_the_design_over_what_is_believed_holds_the_larger_dish_and_the_cut_that_stands():
    design = over(WIDE, HOLE)
    stands = Model(design).deep(10.0).cut
    found = Model(design, 300.0, stands).at_old()
    assert found.received.section.volume_below() == pytest.approx(6300.0)
    whole = deeper(found.skimmed, stands).volume_below()
    assert replace(found, shape=found.shape._replace(depth=1.0)).finished.volume_below() == pytest.approx(
        whole
    )
    assert isinstance(found.stands, Chain)

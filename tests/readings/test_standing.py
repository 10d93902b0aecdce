"""What is known of a piston before its cuts, and which target is in force, by figures worked out by hand."""

import math
import re
from statistics import fmean, stdev

import pytest
from scipy import stats

from tests.readings.test_next_cut import PUMP, design_of, received
from toolpath.errors import InputError
from toolpath.forms import sections
from toolpath.forms.sections import mouth_radius
from toolpath.geometry.chain import Chain
from toolpath.readings.log import Reading, Target
from toolpath.readings.standing import Known, lowered, old_of, over_crown, read_volume, started, target_of
from toolpath.uncertainty.stages import Progress

ALONE = {"piston.count": "1"}
BORE = {"burette.method": '"down-the-bore"', "burette.piston_below_deck": "0.2"}
NO_BURETTE = re.sub(r"(?s)\[burette\].*?(?=\n\[setup\])", "", PUMP)
UNREAD = 2000.0


def known(progress: Progress) -> tuple[float, float]:
    assert float(progress.volume().mean) == pytest.approx(9300.0 + old_of(progress)[0])
    return old_of(progress)


def source(progress: Progress, name: str) -> tuple[str, str, str]:
    (found,) = (q for q in progress.state.unknowns if q.name == name)
    return found.unit, found.shape, found.source


# ---- the old dish ------------------------------------------------------------------------------


@pytest.mark.parametrize("n", [0, 1, 2])
def test_a_piston_of_a_set_scatters_by_three_hundredths_until_three_are_read(n: int) -> None:
    progress = started(design_of(), (), Known(others=(9200.0, 9500.0)[:n]))
    assert known(progress) == pytest.approx(
        (0.0, 279.0), abs=3.0
    )  # 3 % of 9.3 cc, against 2 cc of nothing known
    unit, shape, said = source(progress, "scatter of the set")
    assert (unit, shape) == ("mm3", "normal")
    assert said == "3% of the stated volume until 3 pistons are read; common practice, no source"


@pytest.mark.parametrize("n", [3, 4, 7, 11, 12, 20])
def test_of_the_others_it_has_their_mean_and_the_interval_of_one_more(n: int) -> None:
    """Student's t at 99.5 % (scipy) times s root(1 + 1/n), over the normal quantile; beyond the table the normal."""
    others = tuple(9400.0 + 10.0 * k * (-1) ** k for k in range(n))
    progress = started(design_of(), (), Known(others=others))
    t = stats.t.ppf(0.995, n - 1) if n < 12 else stats.norm.ppf(0.995)
    u = stdev(others) * math.sqrt(1 + 1 / n) * t / stats.norm.ppf(0.995)
    share = UNREAD**2 / (UNREAD**2 + u**2)
    assert known(progress) == pytest.approx(
        (share * (fmean(others) - 9300.0), u * math.sqrt(share)), rel=1e-3
    )
    assert (
        source(progress, "scatter of the set")[2] == f"scatter of the {n} pistons that were read, Student's t"
    )


@pytest.mark.parametrize("readings", [(), (9350.0,), (9350.0, 9390.0)], ids=["the job's", "its own", "two"])
def test_a_reading_of_this_piston_is_known_as_well_as_the_burette(readings: tuple[float, ...]) -> None:
    """The calibration is common to all readings of one burette, the scale reading is not."""
    changes = {} if readings else ALONE
    values = readings or (9300.0,)
    noise = 30.0**2 / 3 + 50.0**2 / 12 / len(values)
    share = UNREAD**2 / (UNREAD**2 + noise)
    found = known(started(design_of(changes), [received(v) for v in readings], Known()))
    assert found == pytest.approx((share * (fmean(values) - 9300.0), math.sqrt(share * noise)), rel=1e-6)


@pytest.mark.parametrize("count", ["1", "4"])
def test_a_stated_uncertainty_goes_before_what_the_others_tell(count: str) -> None:
    design = design_of({"piston.count": count, "setup.existing_u_cc": "0.08"})
    assert known(started(design, (), Known(others=(9000.0,) * 5))) == pytest.approx((0.0, 80.0))


def test_a_nominal_dish_is_not_told_by_the_others() -> None:
    design = design_of({"existing.volume_from": '"nominal"'})
    found = known(started(design, (), Known(others=(9000.0, 9100.0, 9200.0))))
    assert found == pytest.approx((0.0, 0.2 / math.sqrt(3) * math.pi * 32.0**2))


def test_a_volume_read_without_a_stated_burette_counts_as_one_of_no_name() -> None:
    progress = started(design_of(ALONE, NO_BURETTE), [received(9450.0), received(9470.0)], Known())
    share = UNREAD**2 / (UNREAD**2 + 50.0**2)
    assert known(progress) == pytest.approx((share * 160.0, math.sqrt(share) * 50.0))
    assert progress.burette is None
    assert source(progress, "reading")[0] == "mm3"


def test_on_a_blank_crown_only_pockets_can_be_read() -> None:
    blank = re.sub(r"(?s)\[existing\].*?(?=\n\[crown\])", '[existing]\nform = "none"\n', PUMP)
    progress = started(design_of(None, blank), [received(300.0)], Known())
    assert old_of(progress) == (0.0, 0.0)
    pocket = f"{blank}\n[[pocket]]\nvolume_cc = 2.0\narea_mm2 = 400\n"
    progress = started(design_of(None, pocket), [received(2300.0)], Known())
    assert old_of(progress)[0] == pytest.approx(300.0, rel=1e-3)
    assert old_of(started(design_of(None, pocket), (), Known())) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("changes", "text"),
    [({}, PUMP), (ALONE, PUMP), ({"existing.volume_from": '"nominal"'}, PUMP), (ALONE, NO_BURETTE)],
    ids=["by the others", "read", "nominal", "no burette"],
)
def test_the_insert_is_known_to_half_its_tolerance_as_a_rectangle(changes: dict[str, str], text: str) -> None:
    """+- 0.025 mm on the diameter (ISO 1832, G)."""
    setup = started(design_of(changes, text), (), Known()).setup
    assert setup.insert_radius == pytest.approx(0.025 / 2 / math.sqrt(3))


# ---- a reading, a target -----------------------------------------------------------------------


@pytest.mark.parametrize(("after", "deep"), [("as-received", 0.2), ("skim", 0.7), ("first", 0.7)])
def test_down_the_bore_the_space_over_the_crown_is_taken_off(after: str, deep: float) -> None:
    """A cylinder of the bore's 91 mm, as high as the piston stands below the deck, the skim included."""
    space = math.pi / 4 * 91.0**2 * deep
    reading = Reading(1, after, "burette", 20000.0)  # type: ignore[arg-type]
    assert over_crown(design_of(BORE), reading.after) == pytest.approx(space)
    assert read_volume(design_of(BORE), reading) == pytest.approx(20000.0 - space)
    assert read_volume(design_of(), reading) == 20000.0
    assert read_volume(design_of(), Reading(1, "first", "depth", 3.0)) is None


def test_the_target_taken_last_is_in_force() -> None:
    design = design_of()
    assert target_of(design, ()) == 11600.0
    taken = (Target(1, 11700.0, "cc"), received(9300.0), Target(1, 11800.0, "cc"))
    assert target_of(design, taken) == 11800.0


@pytest.mark.parametrize("changes", [{}, BORE], ids=["plate", "down the bore"])
@pytest.mark.parametrize("pocket", [0.0, 1000.0])
def test_a_ratio_that_was_taken_is_that_of_the_engine(changes: dict[str, str], pocket: float) -> None:
    """Beside the dish the engine sees pocket and edge break, down the bore the reading too."""
    text = f"{PUMP}\n[[pocket]]\nvolume_cc = 1.1\narea_mm2 = 200\n" if pocket else PUMP
    design = design_of({**changes, "crown.edge_break": "2.0"}, text)
    engine = design.received.engine
    assert engine is not None
    target = target_of(design, (Target(1, 12000.0, "cc"), Target(1, 8.2, "ratio")))
    turned = target - design.received.beside(0.5, cut=True)
    hollow = turned + pocket + design.received.edge_volume
    assert engine.ratio(hollow, 0.5) == pytest.approx(8.2)


def test_a_ratio_that_was_taken_is_no_volume_where_the_engine_is_gone() -> None:
    text = re.sub(r"(?m)^\[engine\](.*\n)+?(?=\[|\Z)", "", PUMP)
    design = design_of(text=text)
    assert design.received.engine is None
    with pytest.raises(InputError, match=r"ratio of 8\.2 .*\[engine\]; put it back"):
        target_of(design, (Target(1, 8.2, "ratio"),))


# ---- a dish under a zero that lies elsewhere ---------------------------------------------------


@pytest.mark.parametrize("by", [0.3, 0.0, -0.3, -2.9])
def test_a_dish_lowered_keeps_crown_and_mouth(by: float) -> None:
    """Upright walls: a disc of 60 mm more or less."""
    found = lowered(sections.flat(30.0, 3.0, 45.0), by)
    assert found.lowest == pytest.approx(-3.0 - by)
    assert found.volume_below() == pytest.approx(math.pi * 900.0 * (3.0 + by))
    assert (mouth_radius(found), found.outer, found.highest) == pytest.approx((30.0, 45.0, 0.0))
    assert found.segments[0].r1 == 0.0


def test_a_dish_lifted_over_the_crown_is_gone() -> None:
    found = lowered(sections.flat(30.0, 3.0, 45.0), -3.5)
    assert found.lowest == pytest.approx(0.0)
    assert found.outer == 45.0


def test_a_leaning_wall_lowered_gets_an_upright_lip() -> None:
    bowl = sections.spherical(30.0, 4.0, 45.0)
    found = lowered(bowl, 0.5)
    assert found.volume_below() == pytest.approx(bowl.volume_below() + 0.5 * math.pi * 900.0)
    assert mouth_radius(found) == pytest.approx(30.0)
    assert isinstance(found, Chain)

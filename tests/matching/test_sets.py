"""A set of pistons: rows, spreads and the common target, with numbers that can be checked by head."""

import pytest

from toolpath.matching.due import Due, Tally, due
from toolpath.matching.sets import Measured, summary
from toolpath.readings.log import Reading

TARGET, TOLERANCE = 11600.0, 100.0


def piston(number: int, **figures: float) -> tuple[Measured, Due]:
    """A piston with what is due by its figures."""
    found = Measured(number, TARGET, **figures)
    after = "last" if found.final is not None else "first"
    read = () if found.cut is None else (Reading(number, after, "burette", found.cut),)
    return found, due(Tally((), read), found.cut, TARGET, TOLERANCE)


def test_a_set_on_its_way():
    got = summary(
        [
            piston(1),
            piston(2, as_received=9300.0),
            piston(3, as_received=9310.0, after_first=11450.0),
            piston(4, after_first=11440.0, final=11610.0, removed=7.4, ratio=8.5),
            piston(5, after_first=11440.0, final=11480.0, removed=7.1, ratio=8.51),
        ],
        TOLERANCE,
    )
    assert [row.next for row in got.rows] == [
        "make the first cut, then read it",
        "make the first cut, then read it",
        "0.15 cc to go: make the last cut, then read it",
        "done",
        "0.12 cc to go: make the last cut again, then read it",
    ]
    assert [row.off for row in got.rows] == [None, None, -150.0, 10.0, -120.0]
    assert got.spread == pytest.approx(130.0)
    assert got.spread_ratio == pytest.approx(0.01)
    assert got.spread_grams == pytest.approx(0.3)
    assert got.common_target is None


def test_one_over_moves_the_target_for_all():
    pistons = [
        piston(1, final=11780.0, deepest=11780.0),
        piston(2, final=11590.0, deepest=13000.0),
        piston(3, after_first=11400.0),
        piston(4),
    ]
    got = summary(pistons, TOLERANCE)
    assert got.common_target == pytest.approx(11780.0)
    assert got.rows[0].next == "over by 0.18 cc: leave it; the set can still meet 11.78 cc"
    assert got.rows[3].next.endswith("for the common target 11.78 cc")


def test_no_common_target_when_a_crown_is_too_thin():
    got = summary([piston(1, final=11780.0), piston(2, final=11590.0, deepest=11750.0)], TOLERANCE)
    assert got.common_target is None
    assert got.rows[0].next == (
        "over by 0.18 cc: leave it; the crown of piston 2 is too thin to follow: replace one or accept it"
    )
    assert got.rows[1].next == "done"


@pytest.mark.parametrize(
    ("final", "tolerance", "offered"),
    [(12090.0, 100.0, 12090.0), (12110.0, 100.0, None), (11840.0, 50.0, 11840.0), (11860.0, 50.0, None)],
    ids=["within half a cc", "beyond half a cc", "within five tolerances", "beyond five tolerances"],
)
def test_a_common_target_far_away_is_a_reading_to_look_at(final, tolerance, offered):
    got = summary([piston(1, final=final), piston(2, after_first=11400.0)], tolerance)
    assert got.common_target == (None if offered is None else pytest.approx(offered))
    assert (got.look_at == (1,)) == (offered is None)
    assert ("look at this reading" in got.rows[0].next) == (offered is None)


def test_a_first_cut_already_there_is_done():
    got = summary([piston(1, after_first=11650.0)], TOLERANCE)
    assert got.rows[0].next == "done"
    assert (got.spread, got.spread_grams) == (None, None)

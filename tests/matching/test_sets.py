"""A set of pistons: rows, spreads and the common target, with numbers that can be checked by head."""

import pytest

from toolpath.matching.sets import Measured, summary

TARGET, TOLERANCE = 11600.0, 100.0


def test_a_set_on_its_way():
    pistons = [
        Measured(1),
        Measured(2, as_received=9300.0),
        Measured(3, as_received=9310.0, after_first=11450.0),
        Measured(4, after_first=11440.0, final=11610.0, removed=7.4),
        Measured(5, after_first=11440.0, final=11480.0, removed=7.1),
    ]
    got = summary(pistons, TARGET, TOLERANCE)
    assert [row.next for row in got.rows] == [
        "read it as received, cut the first stage, then read it",
        "cut the first stage, then read it",
        "0.15 cc to go: cut the last stage, then read it",
        "done",
        "0.12 cc short: cut the last stage again, then read it",
    ]
    assert [row.off for row in got.rows] == [None, None, -150.0, 10.0, -120.0]
    assert got.spread == pytest.approx(130.0)
    assert got.spread_grams == pytest.approx(0.3)
    assert got.common_target is None


def test_one_over_moves_the_target_for_all():
    pistons = [
        Measured(1, final=11780.0, deepest=11780.0),
        Measured(2, final=11590.0, deepest=13000.0),
        Measured(3, after_first=11400.0),
        Measured(4),
    ]
    got = summary(pistons, TARGET, TOLERANCE)
    assert got.common_target == 11780.0
    assert [row.needs for row in got.rows] == [0.0, pytest.approx(190.0), pytest.approx(380.0), None]
    assert got.rows[0].next == "over by 0.18 cc, leave it; the set can still meet 11.78 cc"
    assert got.rows[1].next == (
        "0.19 cc short: cut the last stage again, then read it, for the common target 11.78 cc"
    )
    assert got.rows[3].next.endswith("for the common target 11.78 cc")


def test_no_common_target_when_a_crown_is_too_thin():
    got = summary(
        [Measured(1, final=11780.0), Measured(2, final=11590.0, deepest=11750.0)], TARGET, TOLERANCE
    )
    assert got.common_target is None
    assert got.rows[0].next == (
        "over by 0.18 cc, leave it; the crown of piston 2 is too thin to follow: replace one or accept it"
    )
    assert got.rows[1].next == "done"


def test_a_first_cut_already_there_is_left():
    got = summary([Measured(1, after_first=11650.0)], TARGET, TOLERANCE)
    assert got.rows[0].next == "on the target after the first stage: leave it, read it as the last"
    assert (got.spread, got.spread_grams) == (None, None)

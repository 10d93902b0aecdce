"""The set as keys and on the terminal: what is due, spreads, masses, and the command to type next."""

import pytest

from tests.sample_jobs import job_file
from toolpath.api import load_job
from toolpath.matching.due import Due, Tally, due
from toolpath.matching.sets import Measured, Summary, summary
from toolpath.output.set import next_commands, set_keys, set_text
from toolpath.readings.log import Reading

TARGET, TOLERANCE = 11600.0, 100.0
JOB = load_job(job_file("pump-engine"))


def piston(number: int, target: float = TARGET, **figures: float) -> tuple[Measured, Due]:
    """A piston with what is due by its figures."""
    found = Measured(number, target, **figures)
    after = "last" if found.final is not None else "first"
    read = () if found.cut is None else (Reading(number, after, "burette", found.cut),)
    return found, due(Tally((), read), found.cut, target, TOLERANCE)


def waiting(number: int) -> tuple[Measured, Due]:
    """A piston that was cut and not read."""
    return Measured(number, TARGET), Due("reading", "read it after the first cut", "first")


def text_of(found: Summary, told: str | None = None) -> list[str]:
    return set_text(found, JOB, set_keys(found, TARGET), "pump.toml", told).split("\n")


# ---- keys --------------------------------------------------------------------------------------


def test_every_figure_of_a_piston_under_its_key():
    """Volumes in cc, masses in g; off is the volume now less the target, weighed is before less after."""
    figures = {"as_received": 9300.0, "after_first": 11440.0, "final": 11480.0, "removed": 7.1}
    found = summary(
        [
            piston(1, **figures, mass_before=320.0, mass=312.5, ratio=8.51),
            piston(2, final=11610.0, removed=7.4, ratio=8.49, mass=313.25),
        ],
        TOLERANCE,
    )
    keys = set_keys(found, 11600.0)
    assert keys == {
        "schema": "dishpath-set-1",
        "target_cc": 11.6,
        "common_target_cc": None,
        "common_ratio": None,
        "spread_cc": pytest.approx(0.13),
        "spread_ratio": pytest.approx(0.02),
        "spread_g": pytest.approx(0.75),
        "pistons": [
            {
                "piston": 1,
                "target_cc": 11.6,
                "as_received_cc": 9.3,
                "after_first_cc": 11.44,
                "final_cc": 11.48,
                "off_cc": pytest.approx(-0.12),
                "removed_g": 7.1,
                "weighed_g": 7.5,
                "mass_g": 312.5,
                "compression": 8.51,
                "next": "0.12 cc to go: make the last cut again, then read it",
            },
            {
                "piston": 2,
                "target_cc": 11.6,
                "as_received_cc": None,
                "after_first_cc": None,
                "final_cc": 11.61,
                "off_cc": pytest.approx(0.01),
                "removed_g": 7.4,
                "weighed_g": None,
                "mass_g": 313.25,
                "compression": 8.49,
                "next": "done",
            },
        ],
    }


@pytest.mark.parametrize(
    ("other", "common_cc", "common_ratio"),
    [(TARGET, 11.78, None), (11500.0, None, 8.4)],
    ids=["one target: a volume", "targets of their own: a ratio"],
)
def test_what_a_set_with_one_over_can_still_meet(other, common_cc, common_ratio):
    found = summary(
        [piston(1, final=11780.0, ratio=8.4), piston(2, other, final=other - 10.0, ratio=8.6)], TOLERANCE
    )
    keys = set_keys(found, TARGET)
    assert keys["common_target_cc"] == (None if common_cc is None else pytest.approx(common_cc))
    assert keys["common_ratio"] == common_ratio
    (line,) = [line for line in text_of(found) if line.startswith("The whole set can still meet")]
    assert line.endswith(" 11.78 cc" if common_cc else " 8.400 to 1")


# ---- words -------------------------------------------------------------------------------------


def test_a_column_is_shown_where_any_piston_has_it():
    """A line a piston under heading and unit, figures to two places and a dash where there is none."""
    lines = text_of(
        summary([piston(1), piston(2, as_received=9300.0), piston(12, after_first=11450.0)], TOLERANCE)
    )
    assert lines[:6] == [
        "Tolerance +-0.1 cc",
        "piston  target received  first    off  next",
        "            cc       cc     cc     cc",
        "     1   11.60        -      -      -  make the first cut, then read it",
        "     2   11.60     9.30      -      -  make the first cut, then read it",
        "    12   11.60        -  11.45  -0.15  0.15 cc to go: make the last cut, then read it",
    ]
    assert not any(line.startswith(("Spread", "To match", "warning", "The whole set")) for line in lines)


def test_all_columns():
    full = {"as_received": 9300.0, "after_first": 11440.0, "final": 11480.0, "removed": 7.1, "ratio": 8.513}
    lines = text_of(summary([piston(1, **full, mass_before=320.0, mass=312.5)], TOLERANCE))
    assert lines[1:4] == [
        "piston  target received  first   last    off removed weighed  ratio  next",
        "            cc       cc     cc     cc     cc       g       g   to 1",
        "     1   11.60     9.30  11.44  11.48  -0.12    7.10    7.50   8.51  "
        "0.12 cc to go: make the last cut again, then read it",
    ]


@pytest.mark.parametrize(
    ("figures", "line"),
    [
        ([{"final": 11600.0}, {"final": 11640.0}], "Spread of the set 0.04 cc"),
        ([{"final": 11600.0, "ratio": 8.5}, {"final": 11640.0, "ratio": 8.488}],
         "Spread of the set 0.04 cc, 0.012 in ratio"),
        ([{"final": 11600.0, "removed": 7.0}, {"final": 11640.0, "removed": 7.25}],
         "Spread of the set 0.04 cc, 0.25 g"),
        ([{"final": 11600.0}], None),
    ],
)  # fmt: skip
def test_the_spread_of_the_set(figures, line):
    lines = text_of(summary([piston(n, **f) for n, f in enumerate(figures, 1)], TOLERANCE))
    assert [found for found in lines if found.startswith("Spread")] == ([] if line is None else [line])


@pytest.mark.parametrize(
    ("masses", "line"),
    [
        # as the scale shows tenths, half of one is no difference
        ([312.50, 311.00, 311.04, 311.06], "piston 1: 1.5 g, piston 4: 0.1 g"),
        ([311.0, 311.04], None),
        ([None, 311.0, 312.0], "piston 3: 1.0 g"),
        ([None, None], None),
    ],
)
def test_what_to_take_off_to_match_the_lightest(masses, line):
    pistons = [piston(n, **({} if m is None else {"mass": m})) for n, m in enumerate(masses, 1)]
    found = [said for said in text_of(summary(pistons, TOLERANCE)) if said.startswith("To match")]
    expected = f"To match the lightest (311.0 g) take off: {line}; the builder knows where"
    assert found == ([] if line is None else [expected])


def test_warnings_stand_over_what_to_type_next():
    lines = text_of(
        summary([piston(1, final=12900.0), piston(2)], TOLERANCE), told="a program is from before"
    )
    at = lines.index("warning: a program is from before")
    assert lines[at + 1] == "warning: piston 1: too far over to be a cut; look at this reading"
    assert lines[at + 2 :] == ["next: dishpath make pump.toml --piston 2"]


@pytest.mark.parametrize(
    ("pistons", "commands"),
    [
        pytest.param([piston(1), piston(2), piston(3)], ["make pump.toml --piston all"], id="all"),
        pytest.param([piston(1)], ["make pump.toml --piston 1"], id="one of one"),
        pytest.param([piston(1), piston(2, final=11600.0)], ["make pump.toml --piston 1"], id="one left"),
        pytest.param([piston(1), piston(2), piston(3, final=11600.0), piston(4), piston(6), piston(7), piston(8)],
                     ["make pump.toml --piston 1-2,4,6-8"], id="ranges"),
        pytest.param([waiting(1), piston(2), waiting(3)], ["reading pump.toml 1=CC 3=CC"], id="readings first"),
        pytest.param([piston(1, final=11600.0), piston(2, final=11610.0)],
                     ["pistons pump.toml --record pump-record.pdf"], id="the record when all are done"),
        pytest.param([piston(1, final=11780.0), piston(2, after_first=11400.0)],
                     ["make pump.toml --piston 2", "pistons pump.toml --take-common"], id="a common target"),
        pytest.param([piston(1, final=11780.0), piston(2, final=11600.0, deepest=11650.0)], [], id="none in common"),
        pytest.param([piston(1, final=11780.0), waiting(2)],
                     ["reading pump.toml 2=CC", "pistons pump.toml --take-common"], id="reading and common target"),
    ],
)  # fmt: skip
def test_what_to_type_next(pistons, commands):
    found = summary(pistons, TOLERANCE)
    assert next_commands(found, "pump.toml") == [f"dishpath {c}" for c in commands]
    assert [line for line in text_of(found) if line.startswith("next: ")] == [
        f"next: dishpath {c}" for c in commands
    ]


def test_the_record_is_named_after_the_job_with_its_dots():
    found = summary([piston(1, final=11600.0)], TOLERANCE)
    assert next_commands(found, "set.v2.toml") == ["dishpath pistons set.v2.toml --record set.v2-record.pdf"]


def test_a_set_in_which_nothing_is_due_is_not_done():
    """Over, with nothing in common, is no reason for a record."""
    found = summary([piston(1, final=11780.0), piston(2, final=11600.0)], TOLERANCE)
    assert next_commands(found._replace(common=None), "pump.toml") == []

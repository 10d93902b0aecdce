"""What a job is turned into for the readback: words, speeds, stops and bites, as a table of jobs."""

import math
from dataclasses import replace

import pytest

from tests.edited import recut_of
from tests.sample_jobs import DIALECTS
from toolpath.motion.frame import Frame
from toolpath.moves import Arc, FixedSpeed, Line, Rapid, SpindleStop, Stop, SurfaceSpeed
from toolpath.program.frames import frame_of
from toolpath.program.proof import _sections, most_left, setup_of, stated_of
from toolpath.program.text import made
from toolpath.readback.stated import Section

MACHINE = 'post = "iso6983"'


def machine(words: str, post: str = "iso6983") -> tuple[str, str]:
    return MACHINE, f'post = "{post}"\n{words}'


@pytest.mark.parametrize(
    ("change", "fact", "value"),
    [
        # M03 is clockwise seen from the spindle (ISO 6983-1); a front tool with its face up cuts with M03
        pytest.param(machine(""), "spindle", 3, id="front tool, face up"),
        pytest.param(machine('insert_face = "down"'), "spindle", 4, id="front tool, face down"),
        pytest.param(machine('tool_side = "rear"'), "spindle", 4, id="rear tool, face up"),
        pytest.param(machine('tool_side = "rear"\ninsert_face = "down"'), "spindle", 3, id="rear, face down"),
        pytest.param(machine('tool_word = "T0707"'), "tool", "T0707", id="tool of the job"),
        pytest.param(machine('tool_word = ""'), "tool", "", id="no tool call"),
        pytest.param(machine(""), "tool", "T0101", id="tool of the postprocessor"),
        pytest.param(machine('work_offset = "G57"'), "work_offset", "G57", id="work offset"),
        pytest.param(machine('index = "home"'), "swing", "home", id="turret at home"),
        pytest.param(machine("index = [200, 300]"), "swing", (200.0, 300.0), id="turret at a place"),
        pytest.param(
            machine('index = ["8 in", "10 in"]\nprogram_units = "inch"'), "swing", (8.0, 10.0), id="a place in inches"
        ),
        pytest.param(machine(""), "cap", 1800.0, id="cap beside a surface speed"),
        pytest.param(machine("", "rs274ngc"), "cap", None, id="control without surface speed"),
        pytest.param(("surface_speed = 250", "fixed_rpm = 900"), "cap", None, id="fixed speed"),
        pytest.param(("feed = 0.10", "feed = 0.10"), "feed", 0.1, id="one feed"),
        pytest.param(("feed = 0.10", "feed = 0.10\nfinish_feed = 0.06"), "feed", 0.1, id="finer finishing feed"),
        pytest.param(("feed = 0.10", "feed = 0.10\nfinish_feed = 0.14"), "feed", 0.14, id="coarser finishing feed"),
        pytest.param(machine('coolant = "on"'), "coolant", True, id="coolant on"),
        pytest.param(machine('coolant = "off"'), "coolant", False, id="coolant off"),
        pytest.param(("feed = 0.10", "feed = 0.10\nramp_angle = 3"), "ramp", math.radians(3), id="ramp"),
        pytest.param(("engine, four", "(spare) 100 %"), "title", "Pump [spare] 100 pct pistons", id="title"),
    ],
)  # fmt: skip
def test_what_the_job_states_of_its_program(change, fact, value):
    recut = recut_of(change)
    stated = stated_of(recut, frame_of(recut))
    assert getattr(stated, fact) == (pytest.approx(value) if isinstance(value, float | tuple) else value)
    assert made(recut).readback.ok


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param([], id="as it is"),
        pytest.param([("allowance = 0.15", "allowance = 0.3")], id="more left for finishing"),
        pytest.param([("dish_depth_of_cut = 0.5", "dish_depth_of_cut = 0.8")], id="deeper cuts"),
    ],
)
def test_a_motion_may_take_what_the_plan_takes_there_and_a_twentieth_of_a_millimetre(changes):
    """Or a tenth of it, where that is more: no bite here is over 0.5 mm but where the depth of cut is."""
    recut = recut_of(*changes)
    bite = setup_of(recut, frame_of(recut)).most_bite
    passes = recut.plan.passes
    assert bite.spacing == pytest.approx(recut.job.cutting.dish_depth_of_cut)
    skims = max(p.bite for p in passes if p.kind == "skim")
    assert bite.over >= skims + 0.05
    rough = [p for p in passes if p.kind == "rough"]
    assert [level for level, _ in bite.levels] == pytest.approx(
        [p.level - recut.insert.radius for p in rough]
    )
    for one, (_, most) in zip(rough, bite.levels, strict=True):
        assert most == pytest.approx(one.bite + max(0.05, one.bite / 10))
    finish = max(p.bite for p in passes if p.kind in ("semi", "finish", "break"))
    layers = [p.bite for p in rough if p.cut.path.highest - p.level > bite.spacing]
    most = max((b + max(0.05, b / 10) for b in layers), default=0.05)
    assert bite.anywhere == pytest.approx(max(1.5 * (finish + max(0.05, finish / 10)), most))
    assert stated_of(recut, frame_of(recut)).ramp_bite == pytest.approx(
        max(p.bite for p in passes if p.kind != "skim" and p.kind != "break") + 0.05
    )


def test_where_only_a_break_and_a_skim_are_cut_nothing_may_be_taken_below():
    recut = recut_of()
    skims = tuple(p for p in recut.plan.passes if p.kind == "skim")
    bare = replace(recut, plan=recut.plan._replace(passes=skims))
    bite = setup_of(bare, frame_of(bare)).most_bite
    assert bite.levels == ()
    assert bite.anywhere == pytest.approx(1.5 * 0.05)
    assert bite.over == pytest.approx(max(p.bite for p in skims) + 0.05)
    assert stated_of(bare, frame_of(bare)).ramp_bite == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("units", "decimals", "left"),
    [("mm", 3, 0.008), ("mm", 2, 0.026), ("inch", 4, 0.006 + 2 * 0.00254), ("inch", 5, 0.006 + 2 * 0.000254)],
)
def test_what_may_stand_over_the_finished_section(units, decimals, left):
    """Six thousandths for rounding and chords, and two of the last decimal; common practice, no source."""
    assert most_left(Frame("insert-centre", 5.0, "radius", units, decimals)) == pytest.approx(left)


@pytest.mark.parametrize("proving", [False, True])
def test_what_a_program_is_held_to_and_what_its_proving_copy(proving):
    recut = recut_of(piston=2)
    frame = frame_of(recut)
    wanted, stock = setup_of(recut, frame, proving=proving), recut.plan.work.stock
    assert (wanted.dialect, wanted.units, wanted.x_reading, wanted.decimals) == (
        "iso6983",
        "mm",
        "diameter",
        3,
    )
    assert (wanted.control_point, wanted.insert_radius) == ("face-outer", 5.0)
    assert wanted.stock == stock.surface
    assert wanted.counted_radius == pytest.approx(45.2 - 0.4)  # within the edge break
    assert wanted.most_bite is not None
    if proving:
        assert wanted.finished == stock.surface
        # the crown as received stands over z = 0 and the old dish reaches below it
        assert wanted.expected_volume == pytest.approx(recut.design.skimmed.volume_below())
        assert (wanted.wary, wanted.most_left) == (None, None)
        assert wanted.stated.lines == ()
    else:
        assert wanted.finished == recut.finished
        assert wanted.expected_volume == pytest.approx(recut.design.finished.volume_below())
        assert wanted.wary == stock.wary
        assert wanted.most_left == most_left(frame)
        said = wanted.stated.lines
        assert said[:2] == ("PISTON 2 OF 4 - ONE CUT WITHOUT A READING", f"MARK {recut.mark}")
        assert len(said) == 6
        assert [line[:2] for line in said[2:5]] == ["Z:", "X:", "Ch"]
        assert said[5].endswith("GAUGE 20 MM")


def test_pockets_are_read_with_the_dish():
    recut = recut_of(("[crown]", "[[pocket]]\nvolume_cc = 0.4\narea_mm2 = 190\n[crown]"))
    # a frustum with upright walls: 400 less 190 x 0.5 mm3
    assert setup_of(recut, frame_of(recut)).pockets == pytest.approx(305.0)


def test_without_a_proof_stop_or_an_edge_break():
    recut = recut_of(machine("proof_stop = false"), ("edge_break = 0.4", "edge_break = 0"))
    wanted = setup_of(recut, frame_of(recut))
    assert wanted.counted_radius == pytest.approx(45.2)
    assert len(wanted.stated.lines) == 5
    assert not any("GAUGE" in line for line in wanted.stated.lines)
    assert made(recut).readback.ok


FEED = Line(10.0, 0.0, 0.1)


@pytest.mark.parametrize(
    ("moves", "sections"),
    [
        pytest.param((), [Section("", None, None, None, False)], id="nothing"),
        pytest.param(
            (SpindleStop(), Stop(False, "clear"), FixedSpeed(800.0, "cw"), Rapid(z=1.0), SurfaceSpeed(200.0), FEED),
            [Section("M0", None, None, None, False), Section("", (800.0, 800.0), None, 200.0, True)],
            id="started at a fixed speed, cut at a surface speed",
        ),
        pytest.param(
            (SurfaceSpeed(180.0), FEED, SurfaceSpeed(240.0), FEED, Stop(True, "look"), FixedSpeed(500.0),
             Rapid(x=1.0)),
            [Section("M1", None, None, 240.0, True), Section("", (500.0, 500.0), None, None, False)],
            id="the highest surface speed, then turning without a cut",
        ),
        pytest.param(
            (FixedSpeed(500.0), FEED, FixedSpeed(900.0), Arc(1.0, 1.0, 0.0, 1.0, True, 0.1), FixedSpeed(700.0), FEED,
             FixedSpeed(950.0), Rapid(x=1.0)),
            [Section("", (500.0, 950.0), (500.0, 900.0), None, True)],
            id="the range that turns and the range that feeds",
        ),
        pytest.param(
            (FixedSpeed(500.0), Stop(False, ""), FEED),
            [Section("M0", (500.0, 500.0), None, None, False), Section("", None, None, None, True)],
            id="a speed of before the stop does not count",
        ),
        pytest.param(
            (FixedSpeed(500.0), SurfaceSpeed(200.0), FEED),
            [Section("", (500.0, 500.0), None, 200.0, True)],
            id="fed under the surface speed alone",
        ),
    ],
)  # fmt: skip
def test_what_runs_between_two_stops(moves, sections):
    assert list(_sections(moves)) == sections


@pytest.mark.parametrize("post", DIALECTS)
def test_the_sections_are_those_of_what_the_control_runs(post):
    """Without a surface speed the control turns at fixed ones, which reach no higher than the cap."""
    recut = recut_of((MACHINE, f'post = "{post}"'))
    found = stated_of(recut, frame_of(recut)).sections
    assert [s.halt for s in found] == ["M0", "M0", "M1", "M1", ""]
    assert [s.cuts for s in found] == [False, False, True, True, True]
    turning = [s.surface for s in found if s.cuts]
    if post in ("iso6983", "system-a", "rs274-lathe"):
        assert turning == [250.0] * 3
    else:
        assert turning == [None] * 3
        assert all(
            s.feeding is not None and 700 < s.feeding[0] <= s.feeding[1] <= 1800 for s in found if s.cuts
        )

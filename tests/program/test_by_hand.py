"""The table of a recut: what it is cut and held to, what stands over and under its rows, and its CSV read again."""

import math
import re

import pytest

from tests.edited import recut_of
from tests.jobs.judged import read
from tests.sample_jobs import job_file
from toolpath.errors import InputError
from toolpath.findings import stops
from toolpath.geometry.chain import Chain, deeper
from toolpath.program.by_hand import ByHand, readout_of, rows_of_csv, table_of
from toolpath.readback.verdict import HandRow, readback_rows
from toolpath.recut import resolve

POST = 'post = "iso6983"'
INCH = (POST, 'post = "dro-table"\nprogram_units = "inch"')
POINT = 'control_point = "face-outer"'


def said(found: ByHand) -> str:
    """All that stands over and under the rows, on one line."""
    return " ".join((*found.table.lines, *found.table.closing))


# ---- the table and its proof -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "units", "x_reading", "resolution", "decimals"),
    [
        pytest.param([], "mm", "diameter", 0.01, 2, id="as the program"),
        pytest.param([(POST, f'{POST}\nx_reading = "radius"')], "mm", "radius", 0.01, 2, id="X a radius"),
        pytest.param([(POST, f"{POST}\nreadout = 0.005")], "mm", "diameter", 0.005, 3, id="a finer readout"),
        pytest.param([INCH], "inch", "diameter", 0.0127, 4, id="inches"),
    ],
)
def test_the_readout_is_the_machines(changes, units, x_reading, resolution, decimals):
    recut = recut_of(*changes)
    readout, found = readout_of(recut), table_of(recut)
    assert (readout.units, readout.x_reading, readout.decimals) == (units, x_reading, decimals)
    assert readout.resolution == pytest.approx(resolution)
    assert (readout.control_point, readout.insert_radius) == ("face-outer", 5.0)
    assert found.readout == readout
    table = found.table
    assert (table.units, table.x_reading, table.decimals) == (units, x_reading, decimals)
    assert table.title == "Pump engine, four pistons"
    setup = found.setup
    assert (setup.units, setup.x_reading, setup.decimals) == (units, x_reading, decimals)
    # the step in which Z is shown, in the readout's units
    assert setup.resolution == pytest.approx(resolution / (25.4 if units == "inch" else 1.0))
    assert found.readback.ok
    assert " dia " in found.text if x_reading == "diameter" else " dia " not in found.text
    assert found.csv.splitlines()[0] == "row,cut,z,x_start,x_stop,infeed,how"
    assert len(found.csv.splitlines()) == 1 + len(found.plan.rows)


def test_a_table_without_a_title():
    found = table_of(recut_of(('title = "Pump engine, four pistons"', 'title = ""')))
    assert found.table.title == "DRO table"


@pytest.mark.parametrize(
    ("skim", "dish", "over"),
    [(0.25, 0.5, 0.8), (0.5, 0.4, 0.8), (0.25, 0.3, 0.5)],
    ids=["dish", "skim", "fine"],
)
def test_a_row_may_take_half_a_depth_of_cut_more(skim, dish, over):
    """Over the crown of the deeper of the two, below it of the dish's: 1.5 times and 0.05 mm."""
    found = table_of(
        recut_of(
            ("skim_depth_of_cut = 0.25", f"skim_depth_of_cut = {skim}"),
            ("dish_depth_of_cut = 0.5", f"dish_depth_of_cut = {dish}"),
        )
    )
    bite = found.setup.most_bite
    assert bite.over == pytest.approx(over)
    assert bite.anywhere == pytest.approx(1.5 * dish + 0.05)
    assert found.readback.ok


def test_a_row_left_out_and_a_row_too_deep_are_refused():
    found = table_of(recut_of())
    rows = rows_of_csv(found.csv, "x.csv")
    assert readback_rows(rows, found.setup).ok
    last = rows[-1]
    deeper_by = 0.1
    too_deep = [*rows[:-1], HandRow(last.z - deeper_by, last.x_start, last.x_stop, last.z_to)]
    for wrong in (rows[:-1], [*rows[:4], *rows[6:]], too_deep):
        assert not readback_rows(wrong, found.setup).ok


def test_what_may_be_left_is_what_the_rows_leave_and_a_little():
    found = table_of(recut_of(sample="blank-bowl"))
    # the steps of a bowl are measured against the section by the table and by the readback
    assert found.plan.step_left > 0.03
    assert found.setup.most_left == pytest.approx(found.plan.step_left + 0.05, abs=2e-3)
    assert found.readback.stock_left == pytest.approx(found.plan.step_left, abs=2e-3)


def test_the_volume_expected_is_what_the_rows_cut_with_the_pockets():
    plain = table_of(recut_of())
    pocket = table_of(recut_of(("[crown]", "[[pocket]]\nvolume_cc = 0.4\narea_mm2 = 190\n[crown]")))
    assert plain.expected == pytest.approx(plain.plan.as_cut)
    # 400 mm3 less 190 mm2 over the skim of 0.5 mm
    assert pocket.expected == pytest.approx(pocket.plan.as_cut + 305.0)
    assert pocket.setup.pockets == pytest.approx(305.0)
    assert pocket.setup.expected_volume == pytest.approx(pocket.plan.as_cut)
    assert pocket.expected <= 11600.0


def test_broken_edges_are_left_for_a_file():
    """The program breaks the outer edge by itself, the rows do not; a lip break at the cut's own mouth they cut."""
    recut = recut_of()
    found = table_of(recut)
    assert recut.plan.work.edge is not None
    assert found.plan.work.edge is None
    assert not any(row.cut == "break" for row in found.plan.rows)
    edge = recut.design.edge
    assert found.plan.surface.at(edge.outer - 0.05) == pytest.approx(0.0, abs=1e-6)
    assert recut.finished.at(edge.outer - 0.05) < -0.3


@pytest.mark.parametrize("stage", ["first", "last"])
def test_a_stage_by_hand_goes_no_deeper_than_its_program(stage):
    from toolpath.readings.log import Reading

    recut = recut_of(stage="first", piston=1)
    if stage == "last":
        left = Reading(1, "first", "burette", recut.next_cut.expected.volume)
        recut = recut_of(stage="last", piston=1, readings=[left])
    found = table_of(recut)
    assert recut.design.depth - 0.03 < found.plan.depth <= recut.design.depth
    assert {row.cut for row in found.plan.rows} == {"rough", "finish"} | (
        {"skim"} if stage == "first" else set()
    )
    assert found.readback.ok


@pytest.mark.parametrize("step", [0.02, 0.1, 0.4])
def test_the_height_of_a_step_is_the_jobs(step):
    stated = ("allowance = 0.2", f"allowance = 0.2\nstep_height = {step}")
    assert step / 2 < table_of(recut_of(stated, sample="blank-bowl")).plan.step_left <= step


@pytest.mark.parametrize(
    ("z_reads", "seen"), [("saddle", "does not see it"), ("sum", "counts it as if it went along Z")]
)
def test_what_the_readout_sees_of_the_top_slide(z_reads, seen):
    tapered = (
        ('form = "flat"', 'form = "tapered"\nfloor_angle = 4'),
        (POST, f'post = "dro-table"\ntop_slide = true\nz_reads = "{z_reads}"'),
        ("wall_angle = 0", ""),
    )
    found = table_of(recut_of(*tapered))
    assert found.plan.slope is not None
    assert seen in said(found)


# ---- metal and checks ---------------------------------------------------------------------------


def test_the_metal_left_is_that_under_the_rows():
    """The floor by hand: underside 13.5 as received, less the skim of 0.5 and the depth of the lowest row."""
    found = table_of(recut_of())
    assert found.limits.floor_thickness < 13.5 - 0.5 - found.plan.depth
    level = deeper(found.plan.surface, Chain.flat(0.0, 45.2))
    assert found.limits.rim == pytest.approx(
        45.2 - max(s.r2 for s in level.segments if s.z1 < -1e-6), abs=0.01
    )
    assert found.limits.top_land == pytest.approx(8.0 - 0.5)


@pytest.mark.parametrize(("room", "refused"), [(1.896, False), (1.899, True)])
def test_a_crown_that_stays_high_comes_nearer_to_the_head(room, refused):
    """R 5 is no whole count of 0.0005 in: 0.2 + 0.5 + 1.2 mm of room less 0.0038 mm."""
    recut = recut_of(
        INCH,
        (POINT, 'control_point = "insert-centre"'),
        ("min_head_room = 1.0", f"min_head_room = {room}"),
    )
    assert not recut.stopped
    found = table_of(recut)
    assert found.plan.crown == pytest.approx(0.0038, abs=1e-6)
    assert [f.code for f in stops(found.findings)] == (["head-room"] if refused else [])
    told = {f.code for f in recut.findings}
    assert all(f.severity == "refused" or f.code not in told for f in found.findings)


def test_a_holder_that_meets_the_work_at_a_row_is_refused():
    """A bar so wide that it fouls the wall in the program fouls it in the rows as well."""
    clear, wide = recut_of(), recut_of(("width = 8.0", "width = 60.0"), ("set_back = 3.0", "set_back = 0.5"))
    assert stops(table_of(clear).findings) == ()
    by_program = {f.code for f in stops(wide.findings)}
    assert by_program
    assert by_program <= {f.code for f in stops(table_of(wide).findings)}


# ---- words -------------------------------------------------------------------------------------

FEELER = ('zero = "noted"', 'zero = "noted"\nfeeler = 0.3')


@pytest.mark.parametrize(
    ("changes", "point", "x_rim", "z_set", "where", "x_set"),
    [
        # rim from mouth 64 to crown 90.4: its middle on diameter 77.2; the mouth once the old dish is skimmed
        pytest.param([], "X is the insert's outer side, Z its front", 5.0, "0.50 mm",
                     "outer side on a blade held along the top land and standing more than 5.00 mm out",
                     "90.40 mm diameter", id="outer"),
        pytest.param([FEELER], "X is the insert's outer side, Z its front", 5.0, "0.80 mm",
                     "outer side on a blade", "90.40 mm diameter", id="outer, with a feeler"),
        pytest.param([(POINT, 'control_point = "face-inner"')], "X is the insert's inner side, Z its front",
                     -5.0, "0.50 mm", "inner side on the top land, the front 5.00 mm below the crown",
                     "90.40 mm diameter", id="inner"),
        pytest.param([(POINT, 'control_point = "insert-centre"'), FEELER], "X and Z are the centre of the insert",
                     0.0, "5.80 mm", "outer side on a blade", "80.40 mm diameter", id="centre, with a feeler"),
    ],
)  # fmt: skip
def test_touching_off_by_hand(changes, point, x_rim, z_set, where, x_set):
    recut = recut_of(*changes)
    point_line, z, x, check = table_of(recut).table.lines[2:6]
    assert point_line == f"{point}. Touch off with the spindle stopped:"
    over_rim = 2 * (recut.touch_off.rim_middle + x_rim)
    feeler = " with the 0.30 mm feeler" if FEELER in changes else ""
    assert z == (
        f"Z: on the as-received crown{feeler} at X {over_rim:.2f} mm diameter, not over a pocket: set Z {z_set}"
    )
    assert x.startswith(f"X: {where}")
    assert x.endswith(f", thrust side (oval: mean of both sides): set X {x_set}")
    assert check == f"Check: touched on diameter 90.40 mm the readout must show X = {x_set}"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("", "goes down (front tool, insert face up)"),
        ('insert_face = "down"', "goes up (front tool, insert face down)"),
        ('tool_side = "rear"', "goes up (rear tool, insert face up)"),
    ],
)
def test_which_way_the_work_turns(words, told):
    """Seen from a front tool with its face up the work comes down onto the edge."""
    assert f"Spindle: the side of the work near you {told}" in said(
        table_of(recut_of((POST, f"{POST}\n{words}")))
    )


def test_an_insert_without_a_designation():
    stated = ('insert = "RCGT 10T3 M0"', "insert_diameter = 10.0\nrelief = 7\nthickness = 3.97")
    assert "Insert round insert, R 5.00 mm, edge on centre height" in said(table_of(recut_of(stated)))
    assert "Insert RCGT 10T3 M0, R 5.00 mm" in said(table_of(recut_of()))


@pytest.mark.parametrize(
    ("changes", "sample", "names"),
    [
        pytest.param([], "pump-engine", "outer edge of the crown", id="edge"),
        pytest.param([("edge_break = 0.4", "edge_break = 0")], "pump-engine", None, id="none"),
        pytest.param(
            [("edge_break = 0.4", "edge_break = 0"), ("volume_cc = 11.6", "volume_cc = 9.4"),
             ("corner_radius = 5.0", ""), ("mouth_diameter = 68.0", "mouth_diameter = 50.0\nlip_break = 0.3")],
            "pump-engine", "lip of the dish", id="lip on the old dish's wall"),
    ],
)  # fmt: skip
def test_which_edges_are_for_a_file(changes, sample, names):
    recut = recut_of(*changes, sample=sample)
    closing = table_of(recut).table.closing
    filed = [line for line in closing if line.startswith("No row breaks the ")]
    if names is None:
        assert filed == []
    else:
        assert filed == [
            f"No row breaks the {names}: do it with a file after the last row, before the reading"
        ]


def test_what_stands_under_the_rows():
    """Volumes in cc as the reading sees them; the floor where an underside is stated."""
    recut = recut_of()
    found = table_of(recut)
    first, second, *_ = found.table.closing
    cut, blended, target = (float(v) for v in re.findall(r"(\d+\.\d{3}) cc", first))
    assert cut == pytest.approx(found.plan.as_cut / 1000, abs=6e-4)
    assert blended == pytest.approx(found.plan.blended / 1000, abs=6e-4)
    assert target == 11.6
    assert first.startswith("As cut by these rows: ")
    floor = found.limits.floor_thickness
    assert (
        second
        == f"Depth by these rows {found.plan.depth:.2f} mm below the finished crown; floor left {floor:.2f} mm"
    )
    text = job_file("pump-engine").read_text(encoding="utf-8")
    text = re.sub(r"(?m)^(underside_depth|min_floor) = .*\n", "", text)
    without = table_of(resolve(read(text)))  # type: ignore[arg-type]
    assert (
        without.table.closing[1]
        == f"Depth by these rows {without.plan.depth:.2f} mm below the finished crown"
    )


def test_steps_are_blended_where_the_readout_can_show_them():
    bowl, pan = table_of(recut_of(sample="blank-bowl")), table_of(recut_of())
    (line,) = [line for line in bowl.table.closing if line.startswith("Blend the steps by hand")]
    assert f": {bowl.plan.left_to_blend / 1000:.3f} cc, {bowl.plan.step_left:.2f} mm at the highest. " in line
    assert line.endswith("Take the reading after blending")
    assert pan.plan.step_left < 0.01
    assert "Blend" not in said(pan)


def test_a_crown_that_the_readout_cannot_show():
    """What a plate closes off over z = 0 is 0.0038 mm of the mouth's area."""
    found = table_of(recut_of(INCH, (POINT, 'control_point = "insert-centre"')))
    (line,) = [line for line in found.table.closing if "cannot show" in line]
    assert "it stays 0.0001 in high, and a plate reads 0.014 cc more" in line
    assert math.pi * 34.0**2 * found.plan.crown / 1000 == pytest.approx(0.014, abs=5e-4)
    assert "cannot show" not in said(table_of(recut_of()))


# ---- the CSV -----------------------------------------------------------------------------------

HEAD = "row,cut,z,x_start,x_stop,infeed,how\n"


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        pytest.param(HEAD + "1,rough,-0.5,10,68.25,0.5,out\n", [HandRow(-0.5, 10.0, 68.25)], id="a row"),
        pytest.param(HEAD + "1,rough,-0.5,10,68,,\n2,finish,-1,12,60,,\n",
                     [HandRow(-0.5, 10.0, 68.0), HandRow(-1.0, 12.0, 60.0)], id="two rows"),
        pytest.param("row,z,x_start,x_stop,z_to\n1,-1,10,20,-0.5\n", [HandRow(-1.0, 10.0, 20.0, -0.5)], id="a slope"),
        pytest.param("row,z,x_start,x_stop,z_to\n1,-1,10,20,\n", [HandRow(-1.0, 10.0, 20.0)], id="level"),
        pytest.param("z,x_start,x_stop\n99999,-99999,0\n", [HandRow(99999.0, -99999.0, 0.0)], id="as far as it goes"),
    ],
)  # fmt: skip
def test_a_table_read_again(text, rows):
    assert rows_of_csv(text, "x.csv") == rows


@pytest.mark.parametrize(
    ("text", "line"),
    [
        pytest.param(HEAD + "1,rough,deep,10,68,,\n", 2, id="a word for a number"),
        pytest.param(HEAD + "1,rough,-0.5,10,68,,\n2,rough,-1\n", 3, id="a short row"),
        pytest.param("row,z,x_start\n1,-1,10\n", 2, id="no x_stop"),
        pytest.param("z,x_start,x_stop\n-1,nan,10\n", 2, id="no number"),
        pytest.param("z,x_start,x_stop\n-1,10,1e5\n", 2, id="too far in X"),
        pytest.param("z,x_start,x_stop\n-1,10,20\n-1e5,10,20\n", 3, id="too far in Z"),
        pytest.param("z,x_start,x_stop,z_to\n-1,10,20,1e9\n", 2, id="too far along the slide"),
        pytest.param("z,x_start,x_stop,z_to\n-1,10,20,down\n", 2, id="a word for the end of the slope"),
    ],
)
def test_what_is_no_row_is_named_by_its_line(text, line):
    with pytest.raises(
        InputError, match=rf"^x\.csv: line {line} is not a row of a DRO table \(.+\)$"
    ) as raised:
        rows_of_csv(text, "x.csv")
    assert "e5" in text or "e9" in text or "nan" in text or "reach" not in str(raised.value)


@pytest.mark.parametrize("text", ["", HEAD])
def test_a_table_without_rows(text):
    with pytest.raises(
        InputError, match=r"^x\.csv: no row of a DRO table stands in it; make the table again$"
    ):
        rows_of_csv(text, "x.csv")

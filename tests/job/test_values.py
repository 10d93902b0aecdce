"""What each kind of value becomes inside, in a metric and in an inch file, and what is refused."""

import math
from collections.abc import Callable
from functools import reduce

import pytest

from toolpath.job.model import Job

JobText = Callable[..., str]
Read = Callable[..., Job]
Faults = Callable[..., tuple[str, ...]]


def _at(job: Job, path: str) -> object:
    return reduce(getattr, path.split("."), job)


@pytest.mark.parametrize(
    ("key", "literal", "attribute", "metric", "inch"),
    [
        ("crown.skim", "0.5", "crown.skim", 0.5, 12.7),
        ("crown.skim", "0", "crown.skim", 0.0, 0.0),
        ("crown.skim", '"30 thou"', "crown.skim", 0.762, 0.762),
        ("piston.crown_diameter", "3", "piston.crown_diameter", 3.0, 76.2),
        ("cutting.feed", "0.004", "cutting.feed", 0.004, 0.1016),
        ("cutting.feed", '"4 thou"', "cutting.feed", 0.1016, 0.1016),
        ("machine.rapid_rate", "200", "machine.rapid_rate", 200.0, 5080.0),
        ("dish.volume_cc", "11.6", "dish.volume", 11600.0, 11600.0),
        ("dish.tolerance_cc", "0.2", "dish.tolerance", 200.0, 200.0),
        ("dish.wall_angle", "30", "dish.wall_angle", math.pi / 6, math.pi / 6),
        ("cutting.ramp_angle", "5", "cutting.ramp_angle", math.pi / 36, math.pi / 36),
        ("setup.existing_u_cc", "0.05", "setup.existing_u", 50.0, 50.0),
        ("setup.feeler", "0", "setup.feeler", 0.0, 0.0),
        ("existing.depth_uncertain", "0", "existing.depth_uncertain", 0.0, 0.0),
        ("piston.raised_crown", "0.1", "piston.raised_crown", 0.1, 2.54),
    ],
)
def test_value(
    key: str, literal: str, attribute: str, metric: float, inch: float, job_text: JobText, read: Read
) -> None:
    big_enough = {"piston.crown_diameter": "90.4", key: literal}
    assert _at(read(job_text(big_enough)), attribute) == pytest.approx(metric)
    fine = {"cutting.feed": "0.001", "cutting.allowance": '"0.1 mm"'}
    assert _at(read(job_text({"units": '"inch"'} | fine | big_enough)), attribute) == pytest.approx(inch)


def test_surface_speed_in_feet(job_text: JobText, read: Read) -> None:
    speeds: dict[str, str | None] = {"cutting.fixed_rpm": None, "cutting.surface_speed": "800"}
    assert read(job_text(speeds)).cutting.surface_speed == 800
    inch = {"units": '"inch"', "cutting.feed": "0.004"}
    # 800 ft/min of 0.3048 m
    assert read(job_text(speeds | inch)).cutting.surface_speed == pytest.approx(243.84)


def test_areas_stay_square_millimetres(job_text: JobText, read: Read) -> None:
    text = job_text({"units": '"inch"', "cutting.feed": "0.004"})
    pocket = read(text + "\n[[pocket]]\nvolume_cc = 0.8\narea_mm2 = 200\noverlap_cc = 0.1\n").pocket[0]
    assert (pocket.volume, pocket.area, pocket.area_after_skim, pocket.overlap) == (800, 200, None, 100)


def test_points_are_diameter_and_depth(job_text: JobText, read: Read) -> None:
    changes = {"existing.form": '"points"', "existing.points": '[[0, -0.5], ["1 in", 2], [60, 0]]'}
    assert read(job_text(changes)).existing.points == ((0, -0.5, False), (25.4, 2, False), (60, 0, False))


def test_a_corner_among_points_is_marked_sharp(job_text: JobText, read: Read, faults_of: Faults) -> None:
    changes = {"existing.form": '"points"', "existing.points": '[[0, 4], [56, 4, "sharp"], [60, 0]]'}
    assert read(job_text(changes)).existing.points == ((0, 4, False), (56, 4, True), (60, 0, False))
    changes["existing.points"] = '[[0, 4], [56, 4, "corner"], [60, 0]]'
    (fault,) = faults_of(job_text(changes))
    assert fault.endswith('the third value of point 2 is "corner"; only "sharp" may stand there')


@pytest.mark.parametrize(
    ("direction", "angle"), [('"z"', 0.0), ('"x"', math.pi / 2), ("45", math.pi / 4), ("-30", -math.pi / 6)]
)
def test_shank_direction_from_z_towards_x(
    direction: str, angle: float, job_text: JobText, read: Read
) -> None:
    holder = read(job_text({"holder.direction": direction, "holder.width": "8"})).holder
    assert holder is not None
    assert holder.direction == pytest.approx(angle)


def test_defaults(job_text: JobText, read: Read) -> None:
    job = read(job_text())
    assert job.piston.count == 1
    assert job.crown.skim is None
    assert (job.engine, job.holder, job.burette, job.holding, job.pocket) == (None, None, None, None, ())
    assert (job.existing.off_centre, job.existing.depth_uncertain) == (0.3, 0.2)
    assert job.dish.tolerance == 100
    assert job.cutting.rpm_limit == 1500
    assert job.cutting.ramp_angle is None
    assert (job.machine.program_units, job.machine.readout, job.machine.work_offset) == ("mm", 0.01, "G54")
    assert (job.setup.touch_off, job.setup.x_touch, job.setup.refit, job.setup.repeat) == (
        0.02,
        0.05,
        0.005,
        0.003,
    )


@pytest.mark.parametrize(
    ("units", "program_units", "readout_expected"),
    [("mm", None, 0.01), ("mm", "inch", 0.0127), ("inch", None, 0.0127), ("inch", "mm", 0.01)],
)
def test_readout_follows_the_program(
    units: str, program_units: str | None, readout_expected: float, job_text: JobText, read: Read
) -> None:
    stated = None if program_units is None else f'"{program_units}"'
    text = job_text({"units": f'"{units}"', "machine.program_units": stated, "cutting.feed": "0.001"})
    machine = read(text).machine
    assert machine.program_units == (program_units or units)
    assert machine.readout == pytest.approx(readout_expected)


@pytest.mark.parametrize(("cut", "allowance_expected"), [("0.5", 0.15), ("0.45", 0.15), ("0.3", 0.1)])
def test_allowance_is_a_third_of_a_light_cut(
    cut: str, allowance_expected: float, job_text: JobText, read: Read
) -> None:
    job = read(job_text({"cutting.dish_depth_of_cut": cut}))
    assert job.cutting.allowance == pytest.approx(allowance_expected)


def test_job_is_frozen(job_text: JobText, read: Read) -> None:
    job = read(job_text())
    with pytest.raises(ValueError, match="frozen"):
        job.piston.count = 3  # type: ignore[misc]


def test_title_is_kept_as_it_is(job_text: JobText, read: Read) -> None:
    title = r'"(G0 X0)\nM30 %\u001b ünïcode"'
    assert read(job_text({"title": title})).title == "(G0 X0)\nM30 %\x1b ünïcode"
    assert len(read(job_text({"title": '"' + "x" * 5000 + '"'})).title) == 5000


REFUSED = [
    ("crown.skim", "-0.7", "crown.skim = -0.7: it must be 0 or more"),
    ("crown.edge_break", "-1", "crown.edge_break = -1: it must be 0 or more"),
    ("dish.lip_break", "-1", "dish.lip_break = -1: it must be 0 or more"),
    ("dish.depth", "1e-9", "dish.depth = 1e-09: it must be more than 0"),
    (
        "piston.crown_diameter",
        '"abc"',
        'piston.crown_diameter = "abc": it is not a length; write a number and its unit, '
        'such as "0.75 mm", "30 thou" or "2-3/8 in"',
    ),
    (
        "piston.crown_diameter",
        "true",
        "piston.crown_diameter = true: it is not a number; write a number in mm, "
        'or text with its own unit such as "30 thou"',
    ),
    (
        "piston.crown_diameter",
        "[90]",
        "piston.crown_diameter = [90]: it is not a number; write a number in mm, "
        'or text with its own unit such as "30 thou"',
    ),
    (
        "piston.crown_diameter",
        "nan",
        "piston.crown_diameter = nan: it is not a finite number; write a number in mm, "
        'or text with its own unit such as "30 thou"',
    ),
    (
        "crown.skim",
        "1979-05-27",
        "crown.skim = 1979-05-27: it is not a number; write a number in mm, "
        'or text with its own unit such as "30 thou"',
    ),
    ("piston.crown_diameter", "1e6", "piston.crown_diameter = 1000000.0: it must be 10000 mm at most"),
    ("dish.volume_cc", "inf", "dish.volume_cc = inf: it is not a finite number; write a number in cc"),
    ("dish.volume_cc", '"12 cc"', 'dish.volume_cc = "12 cc": it is not a number; write a number in cc'),
    (
        "dish.volume_cc",
        "1" + "0" * 400,
        "dish.volume_cc = a very large number: it is not a finite number; write a number in cc",
    ),
    ("dish.volume_cc", "0", "dish.volume_cc = 0: it must be more than 0"),
    ("dish.wall_angle", "90", "dish.wall_angle = 90: it must be 80 degrees at most"),
    ("dish.wall_angle", "-1", "dish.wall_angle = -1: it must be 0 or more"),
    ("dish.wall_angle", '"5 mm"', 'dish.wall_angle = "5 mm": it is not a number; write a number in degrees'),
    ("cutting.ramp_angle", "0.1", "cutting.ramp_angle = 0.1: it must be 0.5 degrees or more"),
    ("cutting.ramp_angle", "11", "cutting.ramp_angle = 11: it must be 10 degrees at most"),
    ("cutting.feed", "0", "cutting.feed = 0: it must be more than 0"),
    ("cutting.feed", "-0.1", "cutting.feed = -0.1: it must be more than 0"),
    ("cutting.fixed_rpm", "0", "cutting.fixed_rpm = 0: it must be more than 0"),
    ("cutting.fixed_rpm", '"fast"', 'cutting.fixed_rpm = "fast": it is not a number; write a plain number'),
    ("piston.count", "0", "piston.count = 0: it must be a whole number from 1 to 10000"),
    ("piston.count", "10001", "piston.count = 10001: it must be a whole number from 1 to 10000"),
    ("piston.count", "4.5", "piston.count = 4.5: it must be a whole number from 1 to 10000"),
    ("piston.count", "true", "piston.count = true: it must be a whole number from 1 to 10000"),
    (
        "piston.material",
        '"cheese"',
        'piston.material = "cheese": there is no material of this name; '
        "the known ones are aluminium-silicon, cast-iron",
    ),
    (
        "machine.post",
        '"iso"',
        'machine.post = "iso": there is no post of this name; the known ones are dro-table, iso6983',
    ),
    ("machine.post", "7", "machine.post = 7: it is not a post; the known ones are dro-table, iso6983"),
    (
        "tool.control_point",
        '"tip"',
        'tool.control_point = "tip": it must be one of "insert-centre", "face-outer", "face-inner"',
    ),
    ("tool.insert", '"CNMG 120408"', "is not round; a round insert, shape R, is needed"),
    (
        "machine.optional_stops",
        '"yes"',
        'machine.optional_stops = "yes": it must be true or false, without quotes',
    ),
    ("machine.optional_stops", "1", "machine.optional_stops = 1: it must be true or false, without quotes"),
    (
        "machine.work_offset",
        r'"G54\n"',
        r'machine.work_offset = "G54\n": it cannot be used; write a word from "G54" to "G59", or "" for none',
    ),
    ("machine.work_offset", '"G53"', 'machine.work_offset = "G53": it cannot be used'),
    (
        "machine.tool_word",
        '"T٣"',
        r'machine.tool_word = "T\u0663": it cannot be used; write words such as "T0101" or "T1 M6 G43 H1", or '
        '"" for none',
    ),
    (
        "machine.decimals",
        "2",
        "machine.decimals = 2: a program in mm needs 3 to 6 decimals, since arcs must close within 0.002 mm",
    ),
    ("machine.decimals", "7", "machine.decimals = 7: a program in mm needs 3 to 6 decimals"),
    (
        "machine.program_number",
        "0",
        "machine.program_number = 0: it must be a whole number from 1000 to 7000",
    ),
    ("machine.program_number", "1234", "machine.program_number = 1234: it must be a multiple of 1000"),
    ("machine.index", '"away"', 'machine.index = "away": it cannot be used; write "none", "home" or [x, z]'),
    ("machine.index", "[1.0]", 'machine.index = [1.0]: it cannot be used; write "none", "home" or [x, z]'),
    ("title", "5", "title = 5: it must be text in quotes"),
    ("title", '"' + "x" * 5001 + '"', "it is too long; 5000 characters at most"),
    ("units", '"cm"', 'units = "cm": it must be one of "mm", "inch"'),
    ("units", "[1]", 'units = [1]: it must be one of "mm", "inch"'),
    (
        "piston.underside",
        "5",
        "piston.underside = 5: it is not a list of points; write [[diameter, depth], ...]",
    ),
    ("piston.underside", "[[0, 5]]", "piston.underside: it has 1 points; give 2 to 500 of them"),
    (
        "piston.underside",
        "[[0, 5], [9]]",
        "piston.underside: point 2 is not a pair; write it as [diameter, depth]",
    ),
    (
        "piston.underside",
        "[[0, 5], [9, true]]",
        "piston.underside: the depth of point 2 is true: it is not a number",
    ),
    ("piston.underside", "[[-1, 5], [9, 5]]", "the diameter of point 1 is -1: it must be 0 or more"),
    (
        "piston.underside",
        "[[0, 5], [9, 5], [9, 6]]",
        "piston.underside: the diameter of point 3 is not larger than that of point 2; "
        "order the points from the axis outward, each once",
    ),
    ("holder.direction", '"y"', 'holder.direction = "y": it is not a number; write a number in degrees; '),
]


@pytest.mark.parametrize(("key", "literal", "message"), REFUSED, ids=[f"{k}={v[:12]}" for k, v, _ in REFUSED])
def test_value_failure(key: str, literal: str, message: str, job_text: JobText, faults_of: Faults) -> None:
    faults = faults_of(job_text({key: literal}))
    assert any(message in fault for fault in faults), faults
    assert all(fault.startswith("job.toml: ") for fault in faults)


@pytest.mark.parametrize(("decimals", "accepted"), [("3", False), ("4", True), ("6", True)])
def test_decimals_of_an_inch_program(
    decimals: str, accepted: bool, job_text: JobText, read: Read, faults_of: Faults
) -> None:
    text = job_text({"machine.program_units": '"inch"', "machine.decimals": decimals})
    if accepted:
        assert read(text).machine.decimals == int(decimals)
    else:
        assert "a program in inch needs 4 to 6 decimals" in faults_of(text)[0]


def test_an_inch_file_is_told_inches(job_text: JobText, faults_of: Faults) -> None:
    text = job_text({"units": '"inch"', "cutting.feed": "0.004", "crown.skim": "true"})
    assert faults_of(text) == (
        "job.toml: crown.skim = true: it is not a number; write a number in inches, "
        'or text with its own unit such as "30 thou"',
    )


@pytest.mark.parametrize("literal", ['"2 3/8"', '"2-3/8 in"', '"60.325 mm"', "2.375"])
def test_a_fraction_is_a_length_of_an_inch_job(literal: str, job_text: JobText, read: Read) -> None:
    inch: dict[str, str | None] = {"units": '"inch"', "cutting.feed": "0.004", "piston.crown_diameter": "3.6"}
    inch |= {"cutting.skim_depth_of_cut": "0.01", "cutting.dish_depth_of_cut": "0.02"}
    job = read(job_text(inch | {"dish.mouth_diameter": literal}))
    assert job.dish.mouth_diameter == pytest.approx(60.325)


@pytest.mark.parametrize(
    ("key", "literal", "message"),
    [
        ("piston.crown_diameter", '"90,4 mm"', "it has a decimal comma; write a decimal point, 90.4 mm"),
        ("dish.volume_cc", '"11,6"', "it has a decimal comma; write a decimal point, 11.6"),
        ("piston.crown_diameter", '"2 3/8"', "it is not a length; write a number and its unit"),
    ],
)
def test_a_decimal_comma_and_a_fraction_without_unit(
    key: str, literal: str, message: str, job_text: JobText, faults_of: Faults
) -> None:
    (fault,) = faults_of(job_text({key: literal}))
    assert fault.startswith(f"job.toml: {key} = {literal}: {message}")


@pytest.mark.parametrize(
    ("key", "literal", "message"),
    [
        ("piston.crown_diameter", "500", "it must be 393.701 inches at most"),
        ("cutting.feed", "5", "it must be 3.93701 in/rev at most"),
        ("cutting.allowance", "0.03", "0.0300 in is not below cutting.dish_depth_of_cut, 0.0200 in"),
    ],
)
def test_faults_of_an_inch_job_are_in_inches(
    key: str, literal: str, message: str, job_text: JobText, faults_of: Faults
) -> None:
    inch: dict[str, str | None] = {"units": '"inch"', "cutting.feed": "0.004", "piston.crown_diameter": "3.6"}
    inch |= {"dish.mouth_diameter": "2.5", "cutting.skim_depth_of_cut": "0.01"}
    faults = faults_of(job_text(inch | {"cutting.dish_depth_of_cut": "0.02", key: literal}))
    assert any(f"{key} = {literal}: {message}" in fault for fault in faults), faults
    assert not any(" mm" in fault for fault in faults)

"""Whole programs and tables: clean ones pass, edited ones fail and name the line."""

import math
from dataclasses import dataclass
from typing import Literal

import pytest
from scipy.integrate import quad

from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Arc, Line
from toolpath.readback.dialects import Dialect
from toolpath.readback.motions import ControlPoint
from toolpath.readback.verdict import Readback, Wanted, readback, readback_rows

R = 5.0  # insert and corner radius: the corner is one centre point
OUTER, MOUTH, DEPTH, SKIM = 45.2, 34.0, 3.3, 0.5
CORNER = MOUTH - math.sqrt(R**2 - (R - DEPTH) ** 2)  # where the corner's centre stands
FINISHED = Chain(
    (
        Line(0.0, -DEPTH, CORNER, -DEPTH),
        Arc(CORNER, R - DEPTH, R, -math.pi / 2, math.atan2(DEPTH - R, MOUTH - CORNER)),
        Line(MOUTH, 0.0, OUTER, 0.0),
    )
)
STOCK = Chain.flat(SKIM, OUTER)
VOLUME = FINISHED.volume_below(0.0)
LEVELS = (-0.6, -1.2, -1.8, -2.4, -3.0)


@dataclass(frozen=True)
class Way:
    """How a program says the same moves."""

    dialect: Dialect = "iso6983"
    units: Literal["mm", "inch"] = "mm"
    x_reading: Literal["diameter", "radius"] = "diameter"
    control_point: ControlPoint = "face-outer"
    decimals: int = 3

    def setup(self, **changes: object) -> Wanted:
        values: dict[str, object] = {
            "dialect": self.dialect,
            "units": self.units,
            "x_reading": self.x_reading,
            "control_point": self.control_point,
            "insert_radius": R,
            "stock": STOCK,
            "finished": FINISHED,
            "expected_volume": VOLUME,
            "counted_radius": OUTER,
            "pockets": 0.0,
            "decimals": self.decimals,
        }
        return Wanted(**(values | changes))  # type: ignore[arg-type]

    def x(self, centre: float) -> float:
        """Programmed X of an insert centre, rounded away from the axis."""
        side = {"insert-centre": 0.0, "face-outer": R, "face-inner": -R}[self.control_point]
        unit = (25.4 if self.units == "inch" else 1.0) / (2 if self.x_reading == "diameter" else 1)
        return math.ceil((centre + side) / unit * 10**self.decimals - 1e-6) / 10**self.decimals

    def z(self, foremost: float) -> float:
        """Programmed Z when the insert's foremost point is at this height."""
        up = R if self.control_point == "insert-centre" else 0.0
        return round((foremost + up) / (25.4 if self.units == "inch" else 1.0), self.decimals)

    def text(self, lift: float = 0.0) -> str:
        """The whole program, `lift` mm higher."""
        head = {
            "iso6983": ["G18 {u} G40 G90 G95", "G92 S1800", "G97 S1100 M03"],
            "system-a": ["{u}", "G18 G40 G99", "G50 S1800", "G97 S1100 M03"],
            "rs274ngc": ["G18 {u} G40 G90 G94", "S1100 M3"],
        }[self.dialect]
        blocks = [line.format(u="G20" if self.units == "inch" else "G21") for line in head]

        def to(word: str, x: float | None, z: float | None, feed: str = "") -> None:
            axes = [] if x is None else [f"X{self.x(x):.{self.decimals}f}"]
            axes += [] if z is None else [f"Z{self.z(z + lift):.{self.decimals}f}"]
            blocks.append(" ".join([word, *axes]) + feed)

        to("G00", None, 50.0)
        to("G00", OUTER + 7, None)
        for face in (SKIM / 2, 0.0):
            to("G00", None, face)
            to("G01", CORNER - 1, face, " F0.004")
            to("G01", CORNER - 2, face + 1)
            to("G00", None, 10.0)
            to("G00", OUTER + 7, None)
        for level in (*LEVELS, -DEPTH):
            to("G00", 20.0, None)
            to("G00", None, 1.0)
            to("G01", 0.0, level)
            to("G01", CORNER - (0.2 if level > -DEPTH else 0.0), level)
            to("G01", CORNER - 1.0, level + 2)
            to("G00", None, 10.0)
        blocks += ["M09", "M05", "M30"]
        return "".join(block + "\n" for block in ["%", *blocks, "%"])


WAYS = [
    Way(),
    Way(x_reading="radius"),
    Way(control_point="insert-centre"),
    Way(control_point="face-inner"),
    Way(units="inch", decimals=4),
    Way(units="inch", decimals=4, control_point="face-inner"),
    Way(dialect="system-a"),
    Way(dialect="rs274ngc", x_reading="radius", decimals=4),
    Way(dialect="rs274ngc", x_reading="radius", units="inch", decimals=5),
]
NAMES = [f"{w.dialect} {w.units} {w.x_reading} {w.control_point}" for w in WAYS]


def codes(result: Readback) -> set[str]:
    return {finding.code for finding in result.findings}


@pytest.mark.parametrize("way", WAYS, ids=NAMES)
def test_a_clean_program(way: Way) -> None:
    result = readback(way.text(), way.setup())
    assert result.findings == ()
    assert result.ok
    assert result.worst_line is None
    assert result.volume == pytest.approx(VOLUME, abs=5.0)
    assert result.gouge <= 0.002
    assert result.stock_left <= 0.003
    assert (result.rapid_contacts, result.past_centre) == (0, 0)
    skim = math.pi * OUTER**2 * SKIM
    assert result.removed == pytest.approx(VOLUME + skim, abs=5.0 + math.pi * OUTER**2 * 0.0013)


def test_the_volume_is_that_of_the_section_when_nothing_is_rounded() -> None:
    """Within 0.0005 cc of the closed form of the section; six decimals leave nothing to rounding."""
    way = Way(decimals=6)
    result = readback(way.text(), way.setup())
    assert result.volume == pytest.approx(VOLUME, abs=0.02)
    assert result.removed == pytest.approx(VOLUME + math.pi * OUTER**2 * SKIM, abs=0.02)


def test_face_inner_has_negative_x_without_passing_the_axis() -> None:
    text = Way(control_point="face-inner").text()
    assert "X-10.000" in text
    assert readback(text, Way(control_point="face-inner").setup()).past_centre == 0


def test_pockets_are_added_to_what_is_reported_and_not_compared() -> None:
    result = readback(Way().text(), Way().setup(pockets=700.0))
    assert result.ok
    assert result.volume == pytest.approx(VOLUME + 700.0, abs=1.0)


@pytest.mark.parametrize(("counted", "volume"), [(OUTER - 0.4, 0.0), (OUTER, 22.6)])
def test_an_edge_break_counts_only_within_the_counted_radius(counted: float, volume: float) -> None:
    """Chamfer 0.4 x 0.4: Pappus gives half of 0.16 mm2 x 2 pi x (45.2 - 0.4/3) = 22.65 mm3."""
    broken = Chain((Line(0, 0, OUTER - 0.4, 0), Line(OUTER - 0.4, 0, OUTER, -0.4)))
    setup = Way().setup(stock=broken, finished=broken, counted_radius=counted, expected_volume=0.0)
    assert readback("M30\n", setup).volume == pytest.approx(volume, abs=0.1)


@pytest.mark.parametrize(("z", "volume"), [(-0.0004, 0.0), (-0.0006, math.pi * OUTER**2 * 0.0006)])
def test_a_plate_lies_on_the_crown_as_it_is_rounded(z: float, volume: float) -> None:
    """Three decimals: half a micron is nothing, more counts."""
    setup = table(stock=Chain.flat(0.1, OUTER), finished=Chain.flat(0.0, OUTER), expected_volume=0.0)
    assert readback_rows([(z, 120.0, 10.0)], setup).volume == pytest.approx(volume, abs=1e-3)


def edited(way: Way, number: int, block: str) -> str:
    lines = way.text().split("\n")
    lines[number - 1] = block
    return "\n".join(lines)


def line_of(way: Way, block: str) -> int:
    return way.text().split("\n").index(block) + 1


def block_at(way: Way, number: int) -> str:
    return way.text().split("\n")[number - 1]


FLOOR = f"X{Way().x(0.0):.3f} Z-3.300"
WALL = f"X{Way().x(CORNER):.3f} Z-3.300"
CROWN = f"X{Way().x(CORNER - 1):.3f} Z0.000"
EDITS = [
    pytest.param(
        f"G01 {FLOOR}", f"G01 X{Way().x(0.0):.3f} Z-3.600", "readback-gouge", 0.3, id="floor 0.3 deeper"
    ),
    pytest.param(
        f"G01 {WALL}",
        f"G01 X{Way().x(CORNER):.3f} Z-3.600",
        "readback-gouge",
        0.3,
        id="wall end 0.3 deeper",
    ),
    pytest.param(
        f"G01 {WALL}", f"G01 X{Way().x(CORNER + 0.3):.3f} Z-3.300", "readback-gouge", None, id="0.3 wider"
    ),
    pytest.param(
        f"G01 {CROWN}",
        f"G01 X{Way().x(CORNER - 1):.3f} Z-0.300",
        "readback-gouge",
        None,
        id="skim 0.3 deeper",
    ),
    pytest.param(f"G01 {FLOOR}", f"G01 X{Way().x(0.0):.3f} Z-3.303", "readback-gouge", 0.003, id="3 microns"),
    pytest.param(f"G01 {FLOOR}", "G01 X9.900 Z-3.300", "readback-axis", -0.05, id="past the axis"),
    pytest.param(f"G01 {FLOOR}", f"G00 {FLOOR}", "readback-rapid-contact", None, id="rapid into metal"),
    pytest.param(f"G01 {WALL}", f"G01 {WALL} Q1", "readback-rule", None, id="unknown word"),
    pytest.param(f"G01 {WALL}", f"G02 {WALL} I0.0 K5.0", "readback-rule", None, id="arc that does not close"),
]


@pytest.mark.parametrize(("clean", "broken", "code", "value"), EDITS)
def test_an_edit_fails_and_names_its_line(clean: str, broken: str, code: str, value: float | None) -> None:
    number = line_of(Way(), next(b for b in Way().text().split("\n") if b.startswith(clean)))
    result = readback(edited(Way(), number, broken), Way().setup())
    assert not result.ok
    assert result.worst_line == number
    finding = next(f for f in result.findings if f.code == code)
    assert f"line {number} ({broken})" in finding.what
    assert finding.severity == "refused"
    if value is not None:
        assert finding.value == pytest.approx(value, abs=6e-4)


@pytest.mark.parametrize("way", WAYS, ids=NAMES)
def test_every_way_finds_the_floor_0_3_deeper(way: Way) -> None:
    wrong, right = (f"Z{way.z(-DEPTH - dz):.{way.decimals}f}" for dz in (0.3, 0.0))
    lines = way.text().split("\n")
    number = next(k for k, line in enumerate(lines, start=1) if line.endswith(right))
    result = readback(edited(way, number, lines[number - 1].replace(right, wrong)), way.setup())
    assert result.worst_line == number
    assert result.gouge == pytest.approx(0.3, abs=0.003)


def test_x_rounding_on_a_wall_is_not_millimetres_of_overcut() -> None:
    """Half a micron into an upright wall is half a micron, however high the wall."""
    wall = Chain((Line(0, -10, 30, -10), Line(30, -10, 30, 0), Line(30, 0, OUTER, 0)))
    result = readback_rows([(-9.0, 30.0, 30.0005)], table(finished=wall, x_reading="radius"))
    assert result.gouge == pytest.approx(0.0005, abs=1e-6)


def test_a_missing_finish_names_what_cut_there_last() -> None:
    lines = Way().text().split("\n")
    start = line_of(Way(), f"G01 {FLOOR}")
    del lines[start - 1 : start + 2]
    result = readback("\n".join(lines), Way().setup())
    assert codes(result) == {"readback-volume"}
    assert result.stock_left == pytest.approx(DEPTH + LEVELS[-1], abs=0.1)
    assert result.worst_line is not None
    assert f"Z{LEVELS[-1]:.3f}" in lines[result.worst_line - 1]


def test_a_missing_skim_is_told() -> None:
    lines = [line for line in Way().text().split("\n") if not line.startswith(f"G01 {CROWN}")]
    result = readback("\n".join(lines), Way().setup())
    assert "readback-skim" in codes(result)
    assert not result.ok


def test_an_empty_program_is_told() -> None:
    result = readback("", Way().setup())
    assert codes(result) == {"readback-rule", "readback-volume", "readback-skim"}
    assert (result.removed, result.gouge) == (0.0, 0.0)


def test_a_proving_copy_removes_nothing() -> None:
    """Lifted above the work, held against a section that is the stock itself."""
    setup = Way().setup(finished=STOCK, expected_volume=0.0)
    result = readback(Way().text(lift=SKIM + DEPTH + 1.0), setup)
    assert result.findings == ()
    assert result.removed == 0.0


def test_a_long_list_of_faults_is_cut_short() -> None:
    text = "".join(f"G0{k} Y1.0\n" for _ in range(40) for k in (0, 1))
    findings = [f for f in readback(text, Way().setup()).findings if f.code == "readback-rule"]
    assert len(findings) == 21
    assert findings[-1].severity == "note"


# areas of the sample: the mouth, and the corner's arc seen from the side
MOUTH_AREA = math.pi * MOUTH**2
WALL_AREA = quad(lambda z: 2 * math.pi * (CORNER + math.sqrt(R**2 - (z - R + DEPTH) ** 2)), -DEPTH, 0)[0]


@pytest.mark.parametrize(
    ("decimals", "units", "x_reading", "limit"),
    [
        (3, "mm", "diameter", 5.0),
        (2, "mm", "diameter", MOUTH_AREA * 0.005 + WALL_AREA * 0.0025),
        (2, "mm", "radius", MOUTH_AREA * 0.005 + WALL_AREA * 0.005),
        (3, "inch", "diameter", MOUTH_AREA * 0.0127 + WALL_AREA * 0.00635),
    ],
)
def test_volume_limit(decimals: int, units: str, x_reading: str, limit: float) -> None:
    """Mouth area x half the last Z decimal + wall area x half the last X decimal, at least 5 mm3."""
    setup = Way().setup(decimals=decimals, units=units, x_reading=x_reading, expected_volume=VOLUME + 500)
    finding = next(f for f in readback("M30\n", setup).findings if f.code == "readback-volume")
    assert finding.limit == pytest.approx(limit / 1000, rel=1e-3)


@pytest.mark.parametrize(
    ("changes", "match"),
    [
        ({"insert_radius": 0.0}, "insert radius must be above 0"),
        ({"counted_radius": 50.0}, "counted radius"),
        ({"finished": Chain.flat(0.0, 40.0)}, "one crown edge"),
    ],
)
def test_setup_failure(changes: dict[str, object], match: str) -> None:
    with pytest.raises(ValueError, match=match):
        Way().setup(**changes)


# ---- tables -------------------------------------------------------------------------------------


def table(**changes: object) -> Wanted:
    return Way().setup(**({"dialect": "dro-table"} | changes))


def rows(deeper: float = 0.0) -> list[tuple[float, float, float]]:
    way = Way()
    out = [(face, way.x(OUTER + 7), way.x(CORNER - 1)) for face in (SKIM / 2, 0.0)]
    out += [(level, way.x(0.0), way.x(CORNER - 0.2)) for level in LEVELS]
    return [*out, (-DEPTH - deeper, way.x(0.0), way.x(CORNER))]


def test_rows_of_a_table() -> None:
    result = readback_rows(rows(), table())
    assert result.findings == ()
    assert result.volume == pytest.approx(VOLUME, abs=1.0)


def test_a_row_too_deep_is_named() -> None:
    result = readback_rows(rows(deeper=0.3), table())
    assert result.worst_line == len(rows())
    assert result.gouge == pytest.approx(0.3, abs=5e-4)
    assert f"row {len(rows())} (Z -3.6, X 10 to" in result.findings[0].what


def test_a_readout_that_counts_in_coarse_steps_may_leave_one_of_them_on_the_crown() -> None:
    high = [(z + 0.01 if z == 0.0 else z, a, b) for z, a, b in rows()]
    assert "readback-skim" in codes(readback_rows(high, table()))
    assert readback_rows(high, table(resolution=0.01)).ok


def test_one_row_is_a_disc_where_it_starts() -> None:
    """A row of no length is a plunge."""
    setup = table(stock=Chain.flat(0.0, OUTER), finished=Chain.flat(0.0, OUTER), expected_volume=0.0)
    segment = R**2 * math.acos((R - 1) / R) - (R - 1) * math.sqrt(2 * R - 1)
    result = readback_rows([(-1.0, 50.0, 50.0)], setup)
    assert result.removed == pytest.approx(2 * math.pi * 20 * segment, abs=2e-3)  # Pappus, X 50 is r 20


def test_a_table_has_no_text() -> None:
    with pytest.raises(ValueError, match="use readback_rows"):
        readback("M30\n", table())

"""What a readback says, word for word: severity, code, sentence, value, limit, unit, advice."""

import math

import pytest

from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Line
from toolpath.readback.cutter import MostBite
from toolpath.readback.verdict import Wanted, readback, readback_rows

R, OUTER = 5.0, 45.2
CROWN = Chain.flat(0.0, OUTER)
HEAD = "G18 G21 G40 G90 G95\nG97 S1000 M03\nG00 Z50.0\nG00 X120.0\n"  # four lines, X a diameter
LEAST = "make the program again from the job"
AREA = math.pi * OUTER**2


def setup(**changes: object) -> Wanted:
    values: dict[str, object] = {
        "dialect": "iso6983",
        "units": "mm",
        "x_reading": "diameter",
        "control_point": "face-outer",
        "insert_radius": R,
        "stock": CROWN,
        "finished": CROWN,
        "expected_volume": 0.0,
        "counted_radius": OUTER,
        "pockets": 0.0,
        "decimals": 3,
    }
    return Wanted(**(values | changes))  # type: ignore[arg-type]


def bore(radius: float, depth: float) -> Chain:
    return Chain.from_pieces((Line(0.0, -depth, radius, -depth), Line(radius, 0.0, OUTER, 0.0)))


HIGH = Chain.flat(0.25, OUTER)
WALLED, ROUGHED = bore(30.0, 10.0), bore(29.85, 10.0)
WIDE = MostBite(over=9.0, anywhere=9.0)
FLOOR = "G00 X10.0\nG00 Z-9.9\nG01 X10.0 Z-10.0 F0.1\nG01 X60.0 Z-10.0\nG01 X58.0 Z-8.0\n"
SAID = [
    pytest.param(
        "G00 Z-1.0\nG00 Z50.0\n" + "G01 X120.0 Z49.0 F0.1\nG99\n",
        setup(),
        (
            "refused",
            "readback-rule",
            "line 8 (G99): G99 is refused: ISO 6983-1 programs here have no such word",
        ),
        (None, None, "", ""),
        id="rule",
    ),
    pytest.param(
        "G00 X60.0\nG00 Z-1.0\n",
        setup(),
        ("refused", "readback-rapid-contact", "line 6 (G00 Z-1.0): the insert touches metal at rapid"),
        (None, None, "", "go clear of the metal first, or feed"),
        id="contact",
    ),
    pytest.param(
        "G00 Z-0.25\nG01 X10.0 Z-0.25 F0.1\n",
        setup(most_bite=MostBite(over=0.2, anywhere=0.2)),
        (
            "refused",
            "readback-bite",
            "line 6 (G01 X10.0 Z-0.25 F0.1): the insert takes more than the job's passes do",
        ),
        (0.25, None, "mm", "put this move back to what the job gives"),
        id="bite",
    ),
    pytest.param(
        FLOOR,
        setup(stock=ROUGHED, finished=WALLED, most_bite=WIDE),
        (
            "refused",
            "readback-standing",
            "line 8 (G01 X60.0 Z-10.0): metal is left standing over this cut at radius 30.00 mm",
        ),
        (
            4.85,
            0.0,
            "mm",
            "climb the wall to its top",
        ),  # 5 up to the crown, less the side's curve over a column
        id="standing",
    ),
    pytest.param(
        "G00 Z5.0\nG01 X9.5 Z5.0 F0.1\n",
        setup(),
        ("refused", "readback-axis", "line 6 (G01 X9.5 Z5.0 F0.1): the insert goes past centre"),
        (-0.25, 0.0, "mm", "end the move at or before the axis"),
        id="axis",
    ),
    pytest.param(
        "G00 Z-0.25\nG01 X10.0 Z-0.25 F0.1\n",
        setup(),
        (
            "refused",
            "readback-gouge",
            "line 6 (G01 X10.0 Z-0.25 F0.1): the insert gouges the finished part",
        ),
        (0.25, 0.002, "mm", "raise or shorten this move to what the job gives"),
        id="gouge",
    ),
    pytest.param(
        "G00 Z-0.25\nG01 X10.0 Z-0.25 F0.1\n",
        setup(pockets=700.0),
        (
            "refused",
            "readback-volume",
            "line 6 (G01 X10.0 Z-0.25 F0.1): the cut holds 1.6046 cc more than the 0.7000 cc of the job",
        ),
        (AREA * 0.25 / 1000, 0.005, "cc", LEAST),
        id="too much",
    ),
    pytest.param(
        "",
        setup(expected_volume=10_000.0, pockets=700.0),
        ("refused", "readback-volume", "the cut holds 10.0000 cc less than the 10.7000 cc of the job"),
        (-10.0, 0.005, "cc", LEAST),
        id="nothing cut",
    ),
    pytest.param(
        "G00 Z0.125\nG01 X10.0 Z0.125 F0.1\n",
        setup(stock=HIGH),
        (
            "refused",
            "readback-skim",
            "line 6 (G01 X10.0 Z0.125 F0.1): metal stands over the finished crown at radius 0.00 mm",
        ),
        (0.125, 0.003, "mm", "face the whole crown to Z 0"),
        id="skim left",
    ),
    pytest.param(
        "",
        setup(stock=HIGH),
        ("refused", "readback-skim", "metal stands over the finished crown at radius 0.00 mm"),
        (0.25, 0.003, "mm", "face the whole crown to Z 0"),
        id="no skim",
    ),
]


@pytest.mark.parametrize(("blocks", "held", "said", "figures"), SAID)
def test_what_is_said(
    blocks: str,
    held: Wanted,
    said: tuple[str, str, str],
    figures: tuple[float | None, float | None, str, str],
) -> None:
    result = readback(HEAD + blocks + "M30\n", held)
    found = next(f for f in result.findings if f.code == said[1])
    severity, code, what, value, limit, unit, advice = found
    assert ((severity, code, what), unit, advice) == (said, *figures[2:])
    assert (value, limit) == tuple(f if f is None else pytest.approx(f, abs=0.01) for f in figures[:2])
    assert limit is None or limit == pytest.approx(figures[1], abs=1e-6)


# ---- bites --------------------------------------------------------------------------------------


def bitten(most: MostBite, *depths: float) -> list[tuple[str, float | None]]:
    """Rows across the whole crown at these depths: what the readback says of their bites."""
    held = setup(dialect="dro-table", finished=Chain.flat(-9.0, OUTER), most_bite=most)
    found = readback_rows([(-depth, 120.0, 10.0) for depth in depths], held).findings
    return [(f.what.split(" (")[0], f.value) for f in found if f.code == "readback-bite"]


@pytest.mark.parametrize(
    ("most", "depths", "told"),
    [
        pytest.param(MostBite(0.3, 9.0), (0.005, 0.3), [], id="below the crown its own limit holds"),
        pytest.param(MostBite(9.0, 0.3), (0.25, 0.5, 0.75), [], id="equal steps within it"),
        pytest.param(MostBite(9.0, 0.3), (0.25, 0.75, 1.0), [("row 2", 0.5)], id="one step left out"),
        pytest.param(MostBite(9.0, 0.3, ((-0.75, 0.6),), 0.25), (0.25, 0.75, 1.0), [], id="a level may"),
        pytest.param(
            MostBite(9.0, 0.3, ((-1.75, 0.6),), 0.25), (0.25, 0.75, 1.0), [("row 2", 0.5)], id="another level"
        ),
    ],
)
def test_bites(most: MostBite, depths: tuple[float, ...], told: list[tuple[str, float]]) -> None:
    assert bitten(most, *depths) == [(row, pytest.approx(value, abs=1e-6)) for row, value in told]

"""ISO 1832 designations: what is read, what is refused. Values: tests/outside/test_insert_keys.py."""

from math import radians

import pytest

from toolpath.errors import InputError
from toolpath.tool.insert import Insert, decode


@pytest.mark.parametrize(
    "written",
    [
        "RCGT 10T3 M0",
        "RCGT10T3M0",
        "rcgt 10t3 m0",
        "RCGT-10T3-M0",
        "RCGT 10T3 MO",
        pytest.param("RCGT 10T3", id="metric only: corner may be missing"),
        pytest.param("RCGT 10T3 M0 FN-AL", id="edge, hand and maker's mark"),
    ],
)
def test_decode_tolerates_how_it_is_written(written: str):
    insert = decode(written)
    assert (insert.radius, insert.thickness, insert.tolerance) == (5.0, 3.97, 0.025)
    assert insert.relief == pytest.approx(radians(7))
    assert insert.designation == written


def test_decode_tells_metric_from_inch_by_the_corner_field():
    assert decode("RCMT 0602 M0").diameter == 6.0
    assert decode("RCMT 0602 00").diameter == 6.35
    assert decode("RCMT 0903").diameter == 9.525


def test_decode_accepts_no_relief():
    assert decode("RNMG 1204 00").relief == 0.0


SIZES = "05, 06, 08, 10, 12, 16, 20, 25, 32"
THICK = "01, 02, 03, 04, 05, 06, 07, 09, S1, T0, T1, T2, T3"
NOT_ISO = 'it does not read as ISO 1832; write it like "RCGT 10T3 M0"'


@pytest.mark.parametrize(
    ("written", "text"),
    [
        ("RCGT 1204 08", 'unknown corner field of a round insert "08"; known are 00, M0'),
        ("RCGT 0903 M0", f'unknown size with corner M0 "09"; known are {SIZES}'),
        ("RCGT 11T3 M0", f'unknown size with corner M0 "11"; known are {SIZES}'),
        (
            "RCGT 11T3",
            'unknown size "11"; known are 05, 06, 07, 08, 09, 10, 12, 15, 16, 19, 20, 25, 31, 32',
        ),
        ("RZGT 10T3 M0", 'unknown clearance letter "Z"; known are A, B, C, D, E, F, G, N, P'),
        ("RCZT 10T3 M0", 'unknown tolerance letter "Z"; known are A, C, E, F, G, H, J, K, L, M, N, U'),
        (
            "RCGZ 10T3 M0",
            'unknown hole and chip breaker letter "Z"; known are A, B, C, F, G, H, J, M, N, Q, R, T, U, W, X',
        ),
        ("RCGT 10T9 M0", f'unknown thickness code "T9"; known are {THICK}'),
        ("RCGT", NOT_ISO),
        ("", NOT_ISO),
        pytest.param("R" * 40, NOT_ISO, id="as long as is shown whole"),
    ],
)
def test_decode_failure(written: str, text: str):
    with pytest.raises(InputError) as refused:
        decode(written)
    instead = "or state insert_diameter, relief and thickness instead"
    assert str(refused.value) == f'insert "{written}": {text}, {instead}'


@pytest.mark.parametrize(
    ("written", "text"),
    [
        ("CNMG 1204 08", 'shape "C" is not round; a round insert, shape R, is needed'),
        ("C0", 'shape "C" is not round; a round insert, shape R, is needed'),
        ("RCGT 1204", "the corner field is missing; size 12 needs M0 for 12 mm or 00 for 12.7 mm"),
        (
            "ROGT 10T3 M0",
            "clearance letter O means the maker's own angle; use another or state insert_diameter, relief and "
            "thickness instead",
        ),
    ],
)
def test_decode_tells_what_else_to_do(written: str, text: str):
    with pytest.raises(InputError) as refused:
        decode(written)
    assert str(refused.value) == f'insert "{written}": {text}'


def test_a_long_designation_is_cut_short_in_the_refusal():
    with pytest.raises(InputError, match=rf'^insert "{"R" * 37}\.\.\.": it does not read'):
        decode("R" * 41)


@pytest.mark.parametrize(
    ("values", "text"),
    [
        ({"radius": 0.0, "relief": 0.1}, "insert radius 0 mm: it must be above 0; measure the insert$"),
        ({"radius": float("nan"), "relief": 0.1}, "insert radius nan mm"),
        ({"radius": 5.0, "relief": 0.1, "thickness": -1.0}, "insert thickness -1 mm"),
        ({"radius": 5.0, "relief": 0.1, "tolerance": 0.0}, "insert tolerance 0 mm"),
        (
            {"radius": 5.0, "relief": -0.1},
            "insert relief -0.1 rad: it must be at least 0 and below 90 degrees$",
        ),
        ({"radius": 5.0, "relief": 2.0}, "insert relief 2 rad"),
    ],
)
def test_insert_failure(values: dict[str, float], text: str):
    with pytest.raises(InputError, match=text):
        Insert(**values)  # type: ignore[arg-type]

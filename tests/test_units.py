"""Units against their definitions: 16 CFR 500.19 (inch and mil, exact), ASTM E287 note 1 (millilitre)."""

import pytest

from toolpath.units import cc, from_mm, length_from_text, length_in, metres_per, mm_per, sentence_in


@pytest.mark.parametrize(
    ("text", "mm_expected"),
    [
        ("0.75 mm", 0.75),
        ("1 in", 25.4),  # 16 CFR 500.19: 25.4 mm exactly
        ("1inch", 25.4),
        ('0.030"', 0.762),
        ("1 thou", 0.0254),  # 16 CFR 500.19: 25.4 micrometres exactly
        ("2 3/8 in", 60.325),
        ("2-3/8 in", 60.325),
        ('2 - 3/8"', 60.325),
        ("3/8 in", 9.525),
        ("-1-1/2 in", -38.1),
        ("1/2 mm", 0.5),
        ("-10 THOU", -0.254),
        (" +.5 mm ", 0.5),
        ("3. mm", 3.0),
        ("20 um", 0.02),
        ("20 µm", 0.02),  # the micro sign
        ("20 μm", 0.02),  # the Greek letter
        ("20 micron", 0.02),
    ],
)
def test_length_from_text(text: str, mm_expected: float) -> None:
    assert length_from_text(text) == pytest.approx(mm_expected, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("abc", "it is not a length"),
        ("", "it is not a length"),
        ("30", "it is not a length; write a number and its unit"),
        ("0,75 mm", "it has a decimal comma; write a decimal point, 0.75 mm"),
        ("2 3/8", "it is not a length; write a number and its unit"),
        ("3/0 in", "a fraction cannot have 0 below the line"),
        ("3/ in", "it is not a length"),
        ("1/2/3 in", "it is not a length"),
        ("1e3 mm", "it is not a length"),
        ("nan mm", "it is not a length"),
        ("1 2 mm", "it is not a length"),
        ("3 mm 4", "it is not a length"),
        ("3 cubits", '"cubits" is not a unit of length; use one of mm, in, inch, thou, um, micron'),
    ],
)
def test_length_from_text_failure(text: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        length_from_text(text)


def test_units_of_a_file() -> None:
    assert (mm_per("mm"), mm_per("inch")) == (1.0, 25.4)
    assert (metres_per("mm"), metres_per("inch")) == (1.0, 0.3048)  # the foot is 12 inches of 25.4 mm
    assert from_mm(25.4, "inch") == 1.0
    assert from_mm(25.4, "mm") == 25.4


def test_cc_of_a_cubic_inch() -> None:
    # 16 CFR 500.19 prints 16.3871 cm3 to the cubic inch
    assert cc(25.4**3) == pytest.approx(16.3871, abs=5e-5)


@pytest.mark.parametrize("text", ["2 3/8", "2-3/8", " 2 3/8 "])
def test_a_bare_fraction_is_in_inches_in_an_inch_job_alone(text: str) -> None:
    assert length_from_text(text, "inch") == pytest.approx(60.325, rel=1e-15)
    assert length_in(text, "inch") == pytest.approx(60.325, rel=1e-15)
    with pytest.raises(ValueError, match="it is not a length"):
        length_from_text(text, "mm")


@pytest.mark.parametrize(
    ("text", "inch_expected"),
    [
        ("left over: 25.4 mm", "left over: 1.00 in"),
        ("a skim of 0.500 mm", "a skim of 0.0197 in"),
        ("20 to 400 mm across", "0.79 to 15.75 in across"),
        ("at 0.229 mm/rev", "at 0.0090 in/rev"),
        ("by -0.51 mm", "by -0.020 in"),
        ("within 0.0005 mm", "within 0.00002 in"),
        ("0 mm", "0 in"),
        ("marks of 1.6 um", "marks of 63 microinch"),
        ("0.3 mm2, 12 mm3, 5 N/mm2, M10 mm", "0.3 mm2, 12 mm3, 5 N/mm2, M10 mm"),
    ],
)
def test_a_sentence_in_inches(text: str, inch_expected: str) -> None:
    assert sentence_in(text, "inch") == inch_expected
    assert sentence_in(text, "mm") == text

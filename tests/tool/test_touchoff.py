"""The words and numbers for touching off, worked out by hand for each control point."""

import pytest

from toolpath.tool.touchoff import Shown, TouchOff

MM = Shown("mm", 1.0, 2, diameter=True)
INCH = Shown("in", 1 / 25.4, 4, diameter=False)


def touch(control_point, *, radius=5.0, skim=0.5, feeler=0.0):
    return TouchOff(control_point, radius, skim, feeler, 90.0, "gauge-ring", 40.0)


BLADE = "outer side on a square's blade laid along the top land and standing proud of the crown by more than 5.00 mm"
TEXTS = {
    "face-outer": (
        "Programmed point: X of the insert's outer side, Z of its foremost point, tip towards +X -Z",
        "Z: spindle stopped, touch the as-received crown at diameter 80.00 mm, about X 90.00 mm diameter, "
        "not over a pocket; set Z 0.50 mm",
        f"X: spindle stopped, insert's {BLADE}; on the gauge-ring side, opposite sides and their mean where "
        "oval; set X 90.00 mm diameter",
        "Check: touched on diameter 90.00 mm the readout must show X = 90.00 mm diameter",
    ),
    "face-inner": (
        "Programmed point: X of the insert's inner side, Z of its foremost point, tip towards -X -Z",
        "Z: spindle stopped, touch the as-received crown at diameter 80.00 mm, about X 70.00 mm diameter, "
        "not over a pocket; set Z 0.50 mm",
        "X: spindle stopped, insert's inner side on the land, its face 5.00 mm below the crown; on the "
        "gauge-ring side, opposite sides and their mean where oval; set X 90.00 mm diameter",
        "Check: touched on diameter 90.00 mm the readout must show X = 90.00 mm diameter",
    ),
    "insert-centre": (
        "Programmed point: centre of the insert",
        "Z: spindle stopped, touch the as-received crown at diameter 80.00 mm, about X 80.00 mm diameter, "
        "not over a pocket; set Z 5.50 mm",
        f"X: spindle stopped, insert's {BLADE}; on the gauge-ring side, opposite sides and their mean where "
        "oval; set X 80.00 mm diameter",
        "Check: touched on diameter 90.00 mm the readout must show X = 80.00 mm diameter",
    ),
}


@pytest.mark.parametrize(("control_point", "lines"), TEXTS.items(), ids=TEXTS.keys())
def test_the_lines_of_a_control_point(control_point, lines):
    assert touch(control_point).lines(MM) == lines


def test_a_feeler_is_named_and_counted():
    (_, z, *_) = touch("face-outer", skim=0.0, feeler=0.1).lines(MM)
    assert z == (
        "Z: spindle stopped, touch the FINISHED crown at diameter 80.00 mm, about X 90.00 mm diameter, "
        "not over a pocket with the "
        "0.10 mm feeler between; set Z 0.10 mm"
    )


def test_inches_and_radii():
    assert INCH.z(12.7) == "0.5000 in"
    assert INCH.x(12.7) == "0.5000 in radius"
    assert MM.x(12.7) == "25.40 mm diameter"

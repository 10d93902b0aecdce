"""Figures of a dish: metal left in its corners, plan area, and the section that is drawn or cut."""

import math

import pytest

from toolpath.findings import Stopped
from toolpath.forms.sections import cap_volume, flat, mouth_radius, spherical
from toolpath.geometry.chain import Chain, deeper
from toolpath.geometry.segments import HALF_PI, Arc
from toolpath.profile.dish import Search, Shape, left_in_corner, plan_area, sharpest, skimmed_section

OUTER = 45.2
PLAIN = Chain.flat(0.0, OUTER)
BOWL = spherical(32.0, 5.5, OUTER)
SPHERE = (32**2 + 5.5**2) / 11
PAN = Shape(form="flat", insert_radius=5.0, mouth=34.0, corner=5.0)


def test_left_in_a_sharp_corner() -> None:
    """Corner fillet: area 0.214602 R^2, ring 973.64 mm3 at bore radius 30 and R 5 (centroid table)."""
    left = left_in_corner(flat(30.0, 8.0, OUTER), 5.0)
    assert left.area == pytest.approx(0.214602 * 25, rel=1e-3)
    assert left.volume == pytest.approx(973.64, abs=0.005)
    assert left.thickness == pytest.approx(5 * (math.sqrt(2) - 1), rel=1e-6)


def test_left_between_two_corner_radii() -> None:
    """Corner 3 under an insert of 5: the difference of two corner fillets."""
    left = left_in_corner(flat(30.0, 8.0, OUTER, corner=3.0), 5.0)
    rings = [2 * math.pi * (30 - 0.2233684 * p) * 0.2146018 * p * p for p in (5.0, 3.0)]
    assert left.area == pytest.approx(0.214602 * (25 - 9), rel=1e-3)
    assert left.volume == pytest.approx(rings[0] - rings[1], rel=1e-5)
    assert left.thickness == pytest.approx((5 - 3) * (math.sqrt(2) - 1), rel=1e-3)


@pytest.mark.parametrize("corner", [5.0, 8.0])
def test_nothing_is_left_in_a_corner_the_insert_fits(corner: float) -> None:
    left = left_in_corner(flat(30.0, 9.0, OUTER, corner=corner), 5.0)
    assert (left.area, left.volume, left.thickness) == pytest.approx((0, 0, 0), abs=1e-5)


def test_sharpest() -> None:
    assert sharpest(PAN) == 5.0
    assert sharpest(Shape(form="spherical", insert_radius=5.0, mouth=32.0, depth=5.5)) == pytest.approx(
        SPHERE
    )
    assert sharpest(Shape(form="deepened", insert_radius=5.0)) is None


def test_plan_area_is_neither_slope_of_the_volume_at_a_fixed_mouth() -> None:
    """Cap a 34, h 3.3: pi a^2 = 3632 mm2, where dV/dh at fixed mouth is 1833 mm2 (design, section 8)."""
    area = plan_area(spherical(34.0, 3.3, OUTER), PLAIN)
    assert area == pytest.approx(math.pi * 34**2, rel=1e-9)
    assert area == pytest.approx(3632, abs=0.5)
    slope = (cap_volume(34.0, 3.3 + 1e-6) - cap_volume(34.0, 3.3 - 1e-6)) / 2e-6
    assert slope == pytest.approx(1833, abs=0.5)


def test_plan_area_is_the_slope_of_the_volume_when_the_path_moves_as_a_body() -> None:
    """A_z: the cut shifted by a micrometre over the skimmed old bowl, by difference of volumes."""
    old = BOWL.moved(0.5)
    left = skimmed_section(old)
    shape, _ = Search(PAN, BOWL, skim=0.5, deepest=12.0).solved("depth", lambda _: 11600.0)
    cut = shape.cut(old, left)

    def volume(dz: float) -> float:
        # the whole path shifted: its crown part too, but there is no metal over it to take
        dish = Chain.from_pieces(p for p in cut.pieces if p.r2 <= 34.0 + 1e-9)
        return deeper(left, dish.moved(-dz)).volume_below()

    slope = (volume(1e-4) - volume(-1e-4)) / 2e-4
    assert plan_area(cut, left) == pytest.approx(slope, rel=1e-4)


def test_deepened_out_to_the_crown_edge_does_not_jump() -> None:
    old = flat(27.0, 5.7, 38.1, corner=1.0)
    shape = Shape(form="deepened", insert_radius=6.35, depth=7.5)
    near, at = (
        Search(shape, old, skim=0.0, deepest=12.0).volume(shape._replace(mouth=mouth), 0.0)
        for mouth in (38.1 - 1e-6, 38.1)
    )
    assert at == pytest.approx(near, rel=1e-6)


def test_as_cut_counts_for_points_and_deepened() -> None:
    """A drawn section with a corner tighter than the insert is solved on what the insert leaves."""
    drawn = Shape(form="points", insert_radius=5.0, points=((0.0, -4.0), (30.0, -4.0), (30.0, 0.0)))
    assert drawn.takes_what_it_gets
    here = Search(drawn, PLAIN, skim=0.0, deepest=12.0)
    volume = here.volume(drawn._replace(depth=7.0), 0.0)
    fillet = 2 * math.pi * (30 - 0.2233684 * 5) * 0.2146018 * 25
    assert volume == pytest.approx(math.pi * 900 * 7 - fillet, rel=1e-6)


def test_mouth_of_drawn_points_may_be_set_and_may_not_leave_the_crown() -> None:
    shape = Shape(
        form="points",
        insert_radius=5.0,
        depth=6.0,
        mouth=36.0,
        points=((0.0, -2.0), (15.0, -1.0), (30.0, 0.0)),
    )
    assert mouth_radius(shape.drawn(PLAIN)) == pytest.approx(36.0)
    with pytest.raises(Stopped, match="runs beyond the crown"):
        shape._replace(mouth=46.0).drawn(PLAIN)


def test_drawn_is_the_form_that_was_asked_for() -> None:
    corner = PAN._replace(depth=9.0, corner=8.0).drawn(PLAIN).segments[1]
    assert isinstance(corner, Arc)
    assert (corner.radius, corner.t1, corner.t2) == pytest.approx((8.0, -HALF_PI, 0.0))
    assert PAN._replace(depth=0.0).drawn(PLAIN).segments == PLAIN.segments


def test_a_corner_hardly_tighter_than_the_insert_leaves_its_hair():
    """Between two fillets of 5 and 4.9999: (sqrt 2 - 1) of the difference, at 45 degrees."""
    left = left_in_corner(flat(30.0, 9.0, 45.2, corner=4.9999), 5.0)
    assert left.thickness == pytest.approx((math.sqrt(2) - 1) * 1e-4, rel=0.1)
    assert 0 < left.volume < 1.0


@pytest.mark.parametrize(
    ("shape", "radius"),
    [
        (Shape(form="flat", insert_radius=5.0, mouth=34.0, depth=3.0, corner=6.0), 6.0),
        (Shape(form="spherical", insert_radius=5.0, mouth=30.0, depth=10.0), 50.0),
        (Shape(form="spherical", insert_radius=5.0, mouth=30.0), None),
        (Shape(form="deepened", insert_radius=5.0, depth=3.0), None),
    ],
)
def test_the_tightest_radius_that_a_form_has(shape: Shape, radius: float | None):
    assert sharpest(shape) == radius


def test_a_flat_dish_may_be_deeper_than_its_mouth_is_wide():
    """8 mm of radius and 10 deep; only a sphere has no more than its mouth's radius."""
    narrow = Shape(form="flat", insert_radius=3.0, mouth=8.0, corner=3.0)
    wanted = flat(8.0, 10.0, OUTER, corner=3.0).volume_below()
    found, _ = Search(narrow, PLAIN, skim=0.0, deepest=12.0).solved("depth", lambda _: wanted)
    assert found.depth == pytest.approx(10.0, abs=1e-7)

"""How the dish as received is built from what the job states of it.

Lengths and diameters are mm, volumes mm3; `outer` is the crown's radius. The turned volume is the
reading less the pockets, None where no volume is stated. What the statements cannot make raises `Stopped`.
"""

import math
from collections.abc import Sequence
from typing import Protocol

from toolpath.findings import Finding, Stopped
from toolpath.forms import sections
from toolpath.forms.points import Point, PointLike, in_half, through_points
from toolpath.geometry.chain import Chain
from toolpath.geometry.roots import root
from toolpath.units import cc

STEPS = 50  # over a dish's depth, in which a deeper one is looked for


class StatedDish(Protocol):
    """What a job says of the dish as received, mm; None where it says nothing."""

    @property
    def mouth_diameter(self) -> float | None: ...
    @property
    def depth(self) -> float | None: ...
    @property
    def sphere_radius(self) -> float | None: ...
    @property
    def corner_radius(self) -> float | None: ...
    @property
    def drawn(self) -> Chain | None: ...  # from the axis to the mouth, crown at z = 0
    @property
    def section_points(self) -> tuple[PointLike, ...] | None: ...  # diameter, depth, whether a corner


def bowl(old: StatedDish, turned: float | None, outer: float) -> Chain:
    """A spherical dish by any two of mouth, depth, sphere radius and turned volume (mm3)."""
    depth, sphere = old.depth, old.sphere_radius
    mouth = None if old.mouth_diameter is None else old.mouth_diameter / 2
    if mouth is not None and depth is None:
        if sphere is not None:
            if sphere < mouth:
                raise Stopped(
                    Finding(
                        "refused",
                        "sphere-under-mouth",
                        f"a sphere of radius {sphere:.3f} mm has no mouth of diameter {2 * mouth:.3f} mm",
                        sphere,
                        mouth,
                        "mm",
                        "check existing.sphere_radius and existing.mouth_diameter",
                    )
                )
            depth = sphere - math.sqrt(sphere**2 - mouth**2)  # the shallow cap, never the deep one
        else:
            assert turned is not None
            depth = sections.cap_depth(mouth, turned)
    elif mouth is None and sphere is not None:
        if depth is None:
            assert turned is not None
            half = 2 * math.pi * sphere**3 / 3
            if turned > half:
                raise Stopped(_over_half(turned, half))
            depth = root(lambda h: math.pi * h * h * (sphere - h / 3) - turned, 0.0, sphere)
        mouth = math.sqrt(max(0.0, depth * (2 * sphere - depth)))
    elif mouth is None:
        assert turned is not None
        assert depth is not None
        # V = pi h (3 a^2 + h^2) / 6, so a^2 = (6 V / (pi h) - h^2) / 3
        square = (6 * turned / (math.pi * depth) - depth**2) / 3
        mouth = math.sqrt(max(square, 1e-9))
    assert depth is not None
    return sections.spherical(mouth, depth, outer)


def _over_half(turned: float, half: float) -> Finding:
    return Finding(
        "refused",
        "dish-over-half-ball",
        "the stated volume is more than half the stated sphere holds",
        cc(turned),
        cc(half),
        "cc",
        "check existing.volume_cc and existing.sphere_radius",
    )


def pan(old: StatedDish, turned: float | None, outer: float) -> Chain:
    """A flat dish by its mouth and either depth or turned volume (mm3)."""
    assert old.mouth_diameter is not None
    mouth, corner = old.mouth_diameter / 2, old.corner_radius or 0.0
    if old.depth is not None:
        return sections.flat(mouth, old.depth, outer, corner=corner)
    assert turned is not None
    return _pan_holding(mouth, corner, turned, outer)


def _pan_holding(mouth: float, corner: float, turned: float, outer: float) -> Chain:
    depth = root(
        lambda d: sections.flat(mouth, d, outer, corner=corner).volume_below() - turned,
        1e-9,
        corner + turned / (math.pi * max(mouth - corner, mouth / 4) ** 2) + 1.0,
    )
    return sections.flat(mouth, depth, outer, corner=corner)


def measured(old: StatedDish, turned: float | None, outer: float) -> tuple[Chain, list[Finding]]:
    """The curve through measured points, its depths scaled to a stated volume; the mismatch is told."""
    drawn = _half(old)
    if max(p.z for p in drawn) > 0:
        raise Stopped(
            Finding(
                "refused",
                "raised-crown",
                "a measured point stands above the crown; a raised (domed) crown is not for this tool",
                max(p.z for p in drawn),
                0.0,
                "mm",
                "check the sign of existing.points: depths count downward",
            )
        )
    section = through_points(drawn, outer)
    if turned is None:
        return section, []
    share = _share(drawn, turned, outer)
    held = section.volume_below()
    return through_points(drawn, outer, depth_scale=share), [
        Finding(
            "warning" if abs(share - 1) > 0.05 else "note",
            "points-against-volume",
            f"the measured points hold {cc(held):.3f} cc where {cc(turned):.3f} cc is stated; "
            f"every depth was multiplied by {share:.4f} to fit; difference",
            cc(held - turned),
            None,
            "cc",
            "measure again if that is more than the burette can be wrong",
        )
    ]


def _half(old: StatedDish) -> list[Point]:
    return in_half(old.section_points or ())


def _share(drawn: Sequence[Point], turned: float, outer: float) -> float:
    """The factor on the depths of points that gives a turned volume, mm3."""
    return root(lambda k: through_points(drawn, outer, depth_scale=k).volume_below() - turned, 1e-3, 1e3)


def drawn(old: StatedDish, turned: float | None, outer: float) -> tuple[Chain, list[Finding]]:
    """A dish out of a drawing, moved in depth to a stated volume; the mismatch is told."""
    assert old.drawn is not None
    section = sections.with_rim(old.drawn, outer)
    if turned is None:
        return section, []
    drop, held = _drop(old.drawn, turned, outer), section.volume_below()
    return sections.sunk(old.drawn, drop, outer), [
        Finding(
            "warning" if abs(held / turned - 1) > 0.05 else "note",
            "drawing-against-volume",
            f"the dish of the drawing holds {cc(held):.3f} cc where {cc(turned):.3f} cc is stated; "
            f"it is taken to lie {abs(drop):.3f} mm {'deeper' if drop > 0 else 'higher'}; difference",
            cc(held - turned),
            None,
            "cc",
            "measure again if that is more than the burette can be wrong",
        )
    ]


def drawn_holding(old: StatedDish, section: Chain, turned: float) -> Chain:
    """The dish of the drawing, moved in depth to a turned volume, mm3."""
    assert old.drawn is not None
    return sections.sunk(old.drawn, _drop(old.drawn, turned, section.outer), section.outer)


def _drop(dish: Chain, turned: float, outer: float) -> float:
    """How far a dish is to be moved down for a turned volume, mm."""

    def over(drop: float) -> float:
        return sections.sunk(dish, drop, outer).volume_below() - turned

    most = 0.0
    while over(most) < 0:  # in small steps: a bowl that goes deeper soon runs out beyond the crown
        most -= dish.lowest / STEPS
    return root(over, dish.lowest, most)


def bowl_holding(old: StatedDish, section: Chain, turned: float) -> Chain:
    """A bowl of the section's mouth and a turned volume, mm3."""
    mouth = sections.mouth_radius(section)
    return sections.spherical(mouth, sections.cap_depth(mouth, turned), section.outer)


def pan_holding(old: StatedDish, section: Chain, turned: float) -> Chain:
    """A flat dish of the section's mouth and a turned volume, mm3."""
    return _pan_holding(sections.mouth_radius(section), old.corner_radius or 0.0, turned, section.outer)


def measured_holding(old: StatedDish, section: Chain, turned: float) -> Chain:
    """The measured points with their depths scaled to a turned volume, mm3."""
    drawn = _half(old)
    share = _share(drawn, turned, section.outer)
    return through_points(drawn, section.outer, depth_scale=share)

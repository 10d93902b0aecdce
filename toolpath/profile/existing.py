"""The dish as received, and the pockets beside it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from toolpath.findings import Finding, Stopped
from toolpath.geometry.chain import Chain
from toolpath.geometry.roots import root
from toolpath.job.work import Existing, Pocket
from toolpath.profile import forms
from toolpath.profile.points import through_points


@dataclass(frozen=True, slots=True)
class Pockets:
    """All pockets of a crown, mm3 and mm2; what they share with the dish is counted once."""

    pockets: tuple[Pocket, ...] = ()

    def volume(self, skim: float, *, shared: bool = True) -> float:
        """What the pockets add to the dish once `skim` mm is off the crown, mm3; alone if nothing is shared.

        A skim takes skim * (A0 + A1) / 2 of each (a frustum's mean area; exact for upright walls).
        """
        return sum(max(0.0, self._left(p, skim) - shared * p.overlap) for p in self.pockets)

    def area(self, skim: float) -> float:
        """Plan area of the pockets still open at the crown after the skim, mm2."""
        return sum(_area_after(p) for p in self.pockets if self._left(p, skim) > 0)

    @staticmethod
    def _left(pocket: Pocket, skim: float) -> float:
        return max(0.0, pocket.volume - skim * (pocket.area + _area_after(pocket)) / 2)

    def findings(self, skim: float, *, plate: bool) -> list[Finding]:
        """Notes on slanted walls, and the stop for an edge-open pocket read under a plate."""
        out = []
        for k, p in enumerate(self.pockets, 1):
            if skim > 0 and p.area_after_skim is None:
                out.append(
                    Finding(
                        "note",
                        "pocket-walls-upright",
                        f"pocket {k} is taken to have upright walls, so that its area stays the same over the "
                        f"{skim:.3f} mm of the skim",
                        p.area,
                        None,
                        "mm2",
                        "state area_after_skim_mm2 if its walls slope",
                    )
                )
            if p.open_to_edge and plate:
                out.append(
                    Finding(
                        "refused",
                        "pocket-open-to-edge",
                        f"pocket {k} is open to the crown's edge, where a plate on the crown cannot seal it",
                        advice='read down the bore instead: burette.method = "down-the-bore"',
                    )
                )
        return out


def _area_after(pocket: Pocket) -> float:
    return pocket.area if pocket.area_after_skim is None else pocket.area_after_skim


def as_received(existing: Existing, outer: float, pockets: float) -> tuple[Chain, list[Finding]]:
    """The section as received, its crown at z = 0, and what is to be said about it.

    `outer` is the crown's radius in mm, `pockets` what the pockets add in mm3: a burette reading
    contains them, so the turned part is the reading less the pockets.

    Raises:
        Stopped: the statements make no dish on this crown.
    """
    turned = existing.volume
    if turned is not None and existing.volume_from == "reading":
        turned -= pockets
        if turned <= 0:
            raise Stopped(
                Finding(
                    "refused",
                    "pockets-over-reading",
                    "the stated reading is not larger than the pockets alone",
                    (existing.volume or 0.0) / 1000,
                    pockets / 1000,
                    "cc",
                    "check existing.volume_cc and the pockets",
                )
            )
    if existing.form == "none":
        return Chain.flat(0.0, outer), []
    if existing.form == "spherical":
        return _bowl(existing, turned, outer), []
    if existing.form == "flat":
        return _flat(existing, turned, outer), []
    return _measured(existing.points or (), turned, outer)


def holding(existing: Existing, section: Chain, turned: float) -> Chain:
    """The same kind of dish with the same mouth, but a turned volume of `turned` mm3."""
    outer, mouth = section.outer, forms.mouth_radius(section)
    if existing.form == "none" or turned <= 0:
        return section
    if existing.form == "spherical":
        return forms.spherical(mouth, forms.cap_depth(mouth, turned), outer)
    if existing.form == "flat":
        return _flat_holding(mouth, existing.corner_radius or 0.0, turned, outer)
    drawn = [(d / 2, -depth) for d, depth in existing.points or ()]
    share = root(lambda k: through_points(drawn, outer, depth_scale=k).volume_below() - turned, 1e-3, 1e3)
    return through_points(drawn, outer, depth_scale=share)


def _bowl(existing: Existing, turned: float | None, outer: float) -> Chain:
    depth, sphere = existing.depth, existing.sphere_radius
    mouth = None if existing.mouth_diameter is None else existing.mouth_diameter / 2
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
            depth = forms.cap_depth(mouth, turned)
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
    return forms.spherical(mouth, depth, outer)


def _over_half(turned: float, half: float) -> Finding:
    return Finding(
        "refused",
        "dish-over-half-ball",
        "the stated volume is more than half the stated sphere holds",
        turned / 1000,
        half / 1000,
        "cc",
        "check existing.volume_cc and existing.sphere_radius",
    )


def _flat(existing: Existing, turned: float | None, outer: float) -> Chain:
    assert existing.mouth_diameter is not None
    mouth, corner = existing.mouth_diameter / 2, existing.corner_radius or 0.0
    if existing.depth is not None:
        return forms.flat(mouth, existing.depth, outer, corner=corner)
    assert turned is not None
    return _flat_holding(mouth, corner, turned, outer)


def _flat_holding(mouth: float, corner: float, turned: float, outer: float) -> Chain:
    depth = root(
        lambda d: forms.flat(mouth, d, outer, corner=corner).volume_below() - turned,
        1e-9,
        corner + turned / (math.pi * max(mouth - corner, mouth / 4) ** 2) + 1.0,
    )
    return forms.flat(mouth, depth, outer, corner=corner)


def _measured(
    points: Sequence[tuple[float, float]], turned: float | None, outer: float
) -> tuple[Chain, list[Finding]]:
    drawn = [(d / 2, -depth) for d, depth in points]
    if max(z for _, z in drawn) > 0:
        raise Stopped(
            Finding(
                "refused",
                "raised-crown",
                "a measured point stands above the crown; a raised (domed) crown is not for this tool",
                max(z for _, z in drawn),
                0.0,
                "mm",
                "check the sign of existing.points: depths count downward",
            )
        )
    section = through_points(drawn, outer)
    if turned is None:
        return section, []
    measured = section.volume_below()

    def stretched(share: float) -> Chain:
        return through_points(drawn, outer, depth_scale=share)

    share = root(lambda k: stretched(k).volume_below() - turned, 1e-3, 1e3)
    off = measured - turned
    return stretched(share), [
        Finding(
            "warning" if abs(share - 1) > 0.05 else "note",
            "points-against-volume",
            f"the measured points hold {measured / 1000:.3f} cc where {turned / 1000:.3f} cc is stated; "
            f"every depth was multiplied by {share:.4f} to fit; difference",
            off / 1000,
            None,
            "cc",
            "measure again if that is more than the burette can be wrong",
        )
    ]

"""Touching off: the numbers to set and the words for them, for the real case."""

from typing import NamedTuple

from toolpath.moves import SHIFTS, ControlPoint
from toolpath.units import Units


class Shown(NamedTuple):
    """How a length is written for the operator."""

    unit: str  # "mm" or "in"
    factor: float  # from mm to the unit
    decimals: int
    diameter: bool  # X is a diameter

    @property
    def units(self) -> Units:
        """The units that the operator reads."""
        return "mm" if self.unit == "mm" else "inch"

    def z(self, length: float) -> str:
        """A length with its unit."""
        return f"{length * self.factor:.{self.decimals}f} {self.unit}"

    def x(self, radius: float) -> str:
        """A radius from the axis as X shows it."""
        return (
            f"{self.z(radius * 2 if self.diameter else radius)} {'diameter' if self.diameter else 'radius'}"
        )


class TouchOff(NamedTuple):
    """Where the insert touches, mm; X as radius of the control point.

    Z: (crown touched as received: the skim; finished crown: 0) + (insert-centre: R) + feeler.
    X: with the outer side on a square's blade along the top land, or the inner side on the land.
    """

    control_point: ControlPoint
    insert_radius: float
    skim: float  # metal still over the finished crown where Z is touched; 0 on the finished crown
    feeler: float
    touch_diameter: float
    touch_at: str
    rim_middle: float  # radius of the crown under the insert when Z is touched

    @property
    def z_to_set(self) -> float:
        """Z of the control point when the insert touches the crown, mm."""
        forward = SHIFTS[self.control_point][1]  # 0, or -1: the insert's front itself
        return self.skim + (1 + forward) * self.insert_radius + self.feeler

    @property
    def x_to_set(self) -> float:
        """X of the control point, as radius, when the insert touches the land or the blade, mm."""
        sideways = SHIFTS[self.control_point][0]  # 0, or 1 and -1: the side that touches itself
        return self.touch_diameter / 2 - (1 - abs(sideways)) * self.insert_radius

    @property
    def x_over_rim(self) -> float:
        """X of the control point, as radius, over the middle of the rim, mm."""
        return self.rim_middle + SHIFTS[self.control_point][0] * self.insert_radius

    @property
    def crown(self) -> str:
        """Which crown is touched, in words that cannot be mistaken."""
        return "as-received crown" if self.skim > 0 else "FINISHED crown"

    def head_lines(self, shown: Shown) -> tuple[str, str, str]:
        """What a program's head says: Z to set, X to set, and the check of both readings of X."""
        z, x = shown.z, shown.x
        feeler = f", {z(self.feeler)} feeler between" if self.feeler > 0 else ""
        where = (
            f"inner side on the land, {z(self.insert_radius)} below the crown"
            if self.control_point == "face-inner"
            else f"outer side on a blade along the top land, proud by over {z(self.insert_radius)}"
        )
        return (
            f"Z: spindle stopped, touch the {self.crown} at about X {x(self.x_over_rim)}{feeler}. "
            f"Set Z {z(self.z_to_set)}",
            f"X: spindle stopped, {where}, {self.touch_at} side. Set X {x(self.x_to_set)}",
            f"Check: touched on diameter {z(self.touch_diameter)} the readout shows X {x(self.x_to_set)}",
        )

    def lines(self, shown: Shown) -> tuple[str, ...]:
        """The lines for program head, sheet and table."""
        z, x = shown.z, shown.x
        point = {
            "insert-centre": "centre of the insert",
            "face-outer": "X of the insert's outer side, Z of its foremost point, tip towards +X -Z",
            "face-inner": "X of the insert's inner side, Z of its foremost point, tip towards -X -Z",
        }[self.control_point]
        feeler = f" with the {z(self.feeler)} feeler between" if self.feeler > 0 else ""
        if self.control_point == "face-inner":
            where = f"inner side on the land, its face {z(self.insert_radius)} below the crown"
        else:
            where = (
                "outer side on a square's blade laid along the top land and standing proud of the crown "
                f"by more than {z(self.insert_radius)}"
            )
        return (
            f"Programmed point: {point}",
            f"Z: spindle stopped, touch the {self.crown} at diameter {z(2 * self.rim_middle)}, about X "
            f"{x(self.x_over_rim)}, not over a pocket{feeler}; "
            f"set Z {z(self.z_to_set)}",
            f"X: spindle stopped, insert's {where}; on the {self.touch_at} side, opposite sides and their "
            f"mean where oval; set X {x(self.x_to_set)}",
            f"Check: touched on diameter {z(self.touch_diameter)} the readout must show X = {x(self.x_to_set)}",
        )

"""The tables of a job file that describe the work: piston, existing dish, new dish, engine.

An attribute has the name of its key without the unit (`volume_cc` is `.volume`, in mm3);
lengths and diameters are in mm, areas in mm2, angles in rad. None stands for "not stated".
"""

from typing import Annotated, Literal

from pydantic import Field

from toolpath.drawing.outline import outline_of
from toolpath.forms.measured import Row
from toolpath.forms.table import EXISTING
from toolpath.geometry.chain import Chain
from toolpath.job.files import DrawnSheet, MeasuredPoints
from toolpath.job.pairs import Points, Underside
from toolpath.job.types import (
    Angle,
    Area,
    AreaOrZero,
    DishForm,
    ExistingForm,
    Flag,
    JobTable,
    Length,
    LengthOrZero,
    Material,
    Positive,
    Quantity,
    SignedLength,
    Text,
    Volume,
    VolumeOrZero,
    WholeNumber,
)

Break = Literal["chamfer", "radius"]


class Piston(JobTable):
    """[piston]: the set of pistons and what limits the cut."""

    count: Annotated[int, WholeNumber(1, 10_000)] = Field(default=1, description="pistons in the set")
    material: Material = Field(
        default="aluminium-silicon", description="piston material, by its name in shared/materials"
    )
    crown_diameter: Length = Field(description="diameter of the crown's outer edge")
    underside_depth: Length | None = Field(
        default=None, description="as-received crown to the underside of the crown, measured along the axis"
    )
    underside: Underside | None = Field(
        default=None,
        description="[[diameter, depth], ...] of the underside, depth from the as-received crown",
    )
    underside_file: MeasuredPoints | None = Field(
        default=None, description="or a file of them, one line a point: diameter, depth"
    )
    min_floor: Length | None = Field(default=None, description="least metal left between dish and underside")
    top_land: Length | None = Field(default=None, description="as-received crown to the top ring groove")
    min_top_land: Length | None = Field(default=None, description="least top land after the skim")
    groove_root_diameter: Length | None = Field(
        default=None, description="diameter at the root of the top ring groove"
    )
    min_wall_to_groove: Length | None = Field(
        default=None, description="least metal left between dish and groove root"
    )
    min_rim: Length | None = Field(default=None, description="least width of the flat rim round the dish")
    compression_height: Length | None = Field(
        default=None, description="pin centre to as-received crown, measured where the crown is touched off"
    )
    touch_diameter: Length | None = Field(
        default=None, description="diameter measured where the tool is touched off in X"
    )
    touch_at: Literal["thrust", "pin"] = Field(
        default="thrust", description="side on which touch_diameter was measured"
    )
    raised_crown: LengthOrZero = Field(
        default=0.0, description="height of a dome on the as-received crown; such a job is not cut"
    )

    @property
    def underside_points(self) -> tuple[tuple[float, float], ...] | None:
        """Points of the underside, stated or the mean of those in the file."""
        if self.underside_file is None:
            return self.underside
        return tuple(row[:2] for row in self.underside_file.points)


class Existing(JobTable):
    """[existing]: the dish as received; depths from the as-received crown."""

    form: ExistingForm = Field(description="form of the dish as received")
    mouth_diameter: Length | None = Field(default=None, description="diameter at the as-received crown")
    depth: Length | None = Field(default=None, description="greatest depth")
    sphere_radius: Length | None = Field(default=None, description="radius of a spherical dish")
    corner_radius: Length | None = Field(
        default=None, description="radius between floor and wall of a flat dish"
    )
    points: Points | None = Field(
        default=None,
        description='[[diameter, depth], ...] as measured, axis first; a corner is [.., .., "sharp"]',
    )
    points_file: MeasuredPoints | None = Field(
        default=None, description="or a file of them, one line a point: diameter, depth"
    )
    drawing: DrawnSheet | None = Field(default=None, description="DXF file with the section, half or full")
    layer: Text | None = Field(default=None, description="layer of the drawing that holds it, alone")
    volume: Volume | None = Field(
        default=None, alias="volume_cc", description="volume, valve pockets included"
    )
    volume_from: Literal["reading", "nominal"] = Field(
        default="reading", description="whether the volume was measured"
    )
    off_centre: LengthOrZero = Field(
        default=0.3, description="how far the old dish may sit off the spindle axis"
    )
    depth_uncertain: LengthOrZero = Field(
        default=0.2, description="how far the old dish may differ in depth from the statement"
    )

    @property
    def is_dish(self) -> bool:
        """Whether there is a dish at all."""
        return EXISTING[self.form].is_dish

    @property
    def section_points(self) -> tuple[Row, ...] | None:
        """The points, or the mean of those in the file."""
        return self.points if self.points_file is None else self.points_file.points

    @property
    def drawn(self) -> Chain | None:
        """The dish as drawn, from the axis to its mouth, crown at z = 0."""
        return None if self.drawing is None else outline_of(self.drawing, self.layer).chain


class Pocket(JobTable):
    """[[pocket]]: one valve relief or other pocket that is not turned."""

    volume: Volume = Field(alias="volume_cc", description="volume below the as-received crown")
    area: Area = Field(alias="area_mm2", description="area at the as-received crown")
    area_after_skim: AreaOrZero | None = Field(
        default=None, alias="area_after_skim_mm2", description="area at the finished crown, for sloping walls"
    )
    overlap: VolumeOrZero = Field(
        default=0.0, alias="overlap_cc", description="volume shared with the dish, counted once"
    )
    open_to_edge: Flag = Field(default=False, description="whether it runs out over the crown's edge")


class Crown(JobTable):
    """[crown]: the skim and the outer edge."""

    skim: LengthOrZero | None = Field(default=None, description="thickness faced off the whole crown")
    deck_clearance: SignedLength | None = Field(
        default=None, description="deck clearance wanted after the skim (negative: the piston stands proud)"
    )
    compression_height: Length | None = Field(
        default=None, description="pin centre to finished crown, wanted: skim = measured - wanted"
    )
    edge_break: LengthOrZero | None = Field(
        default=None, description="size of the break at the crown's outer edge; 0 for none"
    )
    edge_break_form: Break = Field(default="chamfer", description="form of the edge break")


class Dish(JobTable):
    """[dish]: the dish wanted; depth from the finished crown."""

    form: DishForm = Field(description="form of the new dish")
    mouth_diameter: Length | None = Field(default=None, description="diameter at the finished crown")
    depth: Length | None = Field(default=None, description="greatest depth")
    volume: Volume | None = Field(
        default=None, alias="volume_cc", description="finished volume, pockets and lip break included"
    )
    compression_ratio: Annotated[float, Quantity("number", 1.01, 100)] | None = Field(
        default=None, description="compression ratio wanted, in place of the volume; needs [engine]"
    )
    corner_radius: Length | None = Field(
        default=None, description="radius between floor and wall; the insert's where not stated"
    )
    wall_angle: Annotated[float, Quantity("angle", 0, 80)] = Field(
        default=0.0, description="slope of the wall from upright"
    )
    floor_angle: Angle | None = Field(default=None, description="fall of a tapered floor towards the axis")
    points: Points | None = Field(
        default=None,
        description='[[diameter, depth], ...] of a section, axis first; a corner is [.., .., "sharp"]',
    )
    points_file: MeasuredPoints | None = Field(
        default=None, description="or a file of them, one line a point: diameter, depth"
    )
    drawing: DrawnSheet | None = Field(default=None, description="DXF file with the section, half or full")
    layer: Text | None = Field(default=None, description="layer of the drawing that holds it, alone")
    fit: Literal["depth", "scale"] | None = Field(
        default=None,
        description="how a drawn section comes to the volume: moved in depth (if not stated), or scaled",
    )
    lip_break: LengthOrZero | None = Field(
        default=None, description="size of the break at the dish mouth; 0 for none"
    )
    lip_break_form: Break = Field(default="chamfer", description="form of the lip break")
    tolerance: Volume = Field(
        default=100.0, alias="tolerance_cc", description="permitted difference from the target, plus or minus"
    )

    @property
    def section_points(self) -> tuple[Row, ...] | None:
        """The points, or the mean of those in the file."""
        return self.points if self.points_file is None else self.points_file.points

    @property
    def drawn(self) -> Chain | None:
        """The dish as drawn, from the axis to its mouth, crown at z = 0."""
        return None if self.drawing is None else outline_of(self.drawing, self.layer).chain


class Engine(JobTable):
    """[engine]: what a compression ratio or a deck clearance needs."""

    bore: Length = Field(description="cylinder bore")
    stroke: Length = Field(description="stroke")
    chamber: VolumeOrZero = Field(alias="chamber_cc", description="combustion chamber in the head")
    gasket_bore: Length = Field(description="bore of the head gasket")
    gasket_thickness: Length = Field(description="thickness of the head gasket, clamped")
    deck_clearance: SignedLength = Field(
        description="deck to as-received crown at top dead centre (negative: the piston stands proud)"
    )
    crevice: VolumeOrZero = Field(
        default=0.0, alias="crevice_cc", description="space round the top land down to the top ring"
    )
    min_head_room: Length | None = Field(
        default=None, description="least room between finished crown and head"
    )
    peak_pressure: Positive | None = Field(
        None,
        description="greatest gas pressure, N/mm2; with crown_stress the flat-plate formula is set beside",
    )
    crown_stress: Positive | None = Field(None, description="stress that the crown may bear, N/mm2")

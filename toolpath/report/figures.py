"""The figures of one recut under the contract's names: mm, cc, s, g; `Report.as_json` is the file's content."""

from dataclasses import dataclass, fields
from typing import Any, NamedTuple

from toolpath.findings import Finding

SCHEMA = "dishpath-report-1"


class SegmentFigures(NamedTuple):
    """A line or an arc of a section, outward; (r, z) over the finished crown in mm.

    An arc runs counter-clockwise, r to the right and z up, where it is concave as a bowl is.
    """

    kind: str  # "line" or "arc"
    from_mm: tuple[float, float]
    to_mm: tuple[float, float]
    centre_mm: tuple[float, float] | None
    radius_mm: float | None
    counter_clockwise: bool | None


class SegmentsFigures(NamedTuple):
    """Sections from the axis to the crown's edge, exact."""

    finished: tuple[SegmentFigures, ...]
    as_received: tuple[SegmentFigures, ...]


class SectionFigures(NamedTuple):
    """The new dish."""

    form: str
    depth_mm: float
    mouth_diameter_mm: float  # as a calliper finds it, over the lip break
    mouth_without_break_mm: float
    corner_radius_mm: float | None  # None where the form has no corner
    floor_thickness_mm: float | None  # None where no underside is stated
    segments: SegmentsFigures


class VolumeFigures(NamedTuple):
    """Volumes as the reading sees them; `target_cc` is the job's, `finished_cc` that of the stage."""

    as_received_cc: float
    after_skim_cc: float
    target_cc: float
    finished_cc: float


class RemovedFigures(NamedTuple):
    """Metal removed, skim and breaks included."""

    volume_cc: float
    mass_g: float


class ProgramFigures(NamedTuple):
    """How the program, or the readout of a manual lathe, states positions; lengths in mm."""

    post: str
    file: str | None  # None where the table stands for the program
    units: str
    x_reading: str
    control_point: str
    insert_radius_mm: float
    z_zero: str
    z_to_set: float
    x_to_set: float


class PlanFigures(NamedTuple):
    """Passes and times."""

    passes: int
    passes_skim: int
    passes_rough: int
    passes_finish: int
    cutting_s: float
    total_s: float
    bound_s: float
    feed_in_metal_share: float


class ReadbackFigures(NamedTuple):
    """What reading the text back found."""

    volume_cc: float
    gouge_mm: float
    stock_left_mm: float
    rapid_contacts: int
    past_centre: int
    worst_line: int | None


class TableFigures(NamedTuple):
    """The rows for a readout."""

    units: str
    x_reading: str
    control_point: str
    resolution: float
    rows: int
    step_height_mm: float  # the highest step that the rows leave
    expected_cc: float  # of the rows as cut
    left_to_blend_cc: float
    depth_mm: float  # of the lowest row
    floor_thickness_mm: float | None  # that the rows leave; None where the underside is not stated


class CompressionFigures(NamedTuple):
    """Compression ratios, to 1."""

    before: float
    after: float
    skim_alone: float
    dish_alone: float


class ClearanceFigures(NamedTuple):
    """Room round the tool."""

    flank_contact_height_mm: float | None  # None where no dish is cut
    insert_underside_room_mm: float | None  # None where no thickness is stated
    holder_gap_mm: float | None  # None where no holder is stated


class ExpectedFigures(NamedTuple):
    """What the readings make a stage's cut expected to leave."""

    volume_cc: float
    u_cc: float
    chance_within_tolerance: float


@dataclass(frozen=True, slots=True)
class Report:
    """Every figure of one recut; what a stage or a job does not have is None."""

    stage: str
    piston: int | None
    mark: str  # tells two makes apart: the same facts give the same mark
    job_fingerprint: str
    section: SectionFigures
    volume: VolumeFigures
    removed: RemovedFigures
    program: ProgramFigures | None  # None unless files are written
    plan: PlanFigures
    readback: ReadbackFigures | None  # likewise
    table: TableFigures | None
    compression: CompressionFigures | None  # None without [engine]
    clearance: ClearanceFigures
    expected: ExpectedFigures | None  # None for one cut without a reading
    from_shop: tuple[str, ...]
    overrides: tuple[str, ...]
    findings: tuple[Finding, ...]

    def as_json(self) -> dict[str, Any]:
        """The contract's keys, ready for JSON."""
        found = {field.name: named(getattr(self, field.name)) for field in fields(self)}
        if self.compression is None:
            found["compression"] = {"before": None, "after": None}
        return {"schema": SCHEMA, **found}


def named(value: Any) -> Any:
    """Records as JSON has them, an object of names and values each, at any depth; the rest as it is."""
    if not isinstance(value, tuple):
        return value
    inside = map(named, value)
    return dict(zip(value._fields, inside, strict=True)) if hasattr(value, "_fields") else tuple(inside)


def refused_json(
    stage: str, piston: int | None, fingerprint: str, findings: tuple[Finding, ...]
) -> dict[str, Any]:
    """The same keys for a job of which nothing can be made: its findings, the rest null."""
    nothing = {field.name: None for field in fields(Report)}
    told = {
        "stage": stage,
        "piston": piston,
        "job_fingerprint": fingerprint,
        "findings": named(findings),
    }
    return {
        "schema": SCHEMA,
        **nothing,
        "compression": {"before": None, "after": None},
        "clearance": dict.fromkeys(ClearanceFigures._fields),
        **told,
    }

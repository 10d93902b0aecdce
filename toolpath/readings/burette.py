"""What a job says of measuring and setting up: its burette, and the standard uncertainties of the steps."""

import math
from dataclasses import replace

from toolpath.errors import InputError
from toolpath.geometry.chain import Chain
from toolpath.job.model import Job
from toolpath.planner.slope import ANGLE_ERROR
from toolpath.profile.dish import plan_area
from toolpath.reference import table
from toolpath.uncertainty.budget import Burette, SetupUncertainty
from toolpath.units import MM3_PER_CC, cc

UNKNOWN_BURETTE = 50.0  # mm3, of a reading with a burette that is not stated; common practice, no source


def burette_of(job: Job, volume: float) -> Burette:
    """The job's burette with its limits from ISO 385 (shared/burettes.toml).

    Raises:
        InputError: no burette is stated, or the table does not list it.
    """
    stated = job.burette
    if stated is None:
        raise InputError(
            "[burette] is missing; state capacity_cc, class and graduation_cc to cut by readings"
        )
    rows = [
        r for r in table("burettes")["burette"] if abs(r["capacity_cc"] * MM3_PER_CC - stated.capacity) < 1e-6
    ]
    if stated.graduation is not None:
        rows = [r for r in rows if abs(r["graduation_cc"] * MM3_PER_CC - stated.graduation) < 1e-6]
    if not rows:
        known = ", ".join(
            f"{r['capacity_cc']:g}/{r['graduation_cc']:g}" for r in table("burettes")["burette"]
        )
        raise InputError(
            f"burette.capacity_cc = {cc(stated.capacity):g}: no such burette in ISO 385; "
            f"capacity/graduation in cc may be {known}"
        )
    row = rows[0]
    one = Burette(
        capacity=stated.capacity,
        largest_error=row[stated.class_] * MM3_PER_CC,
        graduation=row["graduation_cc"] * MM3_PER_CC,
        name=stated.name or f"{row['capacity_cc']:g} cc class {stated.class_}",
        source=f"ISO 385:2005 class {stated.class_}",
    )
    return replace(one, fills=stated.fills or one.fills_for(volume))


def reading_u(burette: Burette) -> float:
    """Standard uncertainty of one reading by itself, calibration included, mm3."""
    return math.hypot(burette.calibration().u, burette.scale_reading(1).u)


def setup_of(job: Job, tolerance: float | None, old_dish: float) -> SetupUncertainty:
    """The job's standard uncertainties.

    `tolerance` (mm) is that on the insert's diameter, `old_dish` (mm3) the standard uncertainty of the
    dish as received.
    """
    stated = job.setup
    radius = stated.insert_radius_u
    if radius is None:
        radius = (tolerance or 0.0) / 2 / 3**0.5
    names = {"touch_off", "x_touch", "refit", "repeat", "face_touch"} & stated.model_fields_set
    if "insert_radius_u" in stated.model_fields_set:
        names.add("insert_radius")
    if "existing_u" in stated.model_fields_set:
        names.add("old_dish")
    return SetupUncertainty(
        insert_radius=radius,
        old_dish=old_dish,
        touch_off=stated.touch_off,
        x_touch=stated.x_touch,
        refit=stated.refit,
        repeat=stated.repeat,
        face_touch=stated.face_touch,
        slide_angle=ANGLE_ERROR / 3**0.5 if job.machine.turns_slopes_by_hand else 0.0,
        stated=frozenset(names),
    )


def old_dish_u(job: Job, section: Chain) -> float:
    """Standard uncertainty of the old dish (`section`, as received) as the job states it, mm3."""
    if not job.existing.is_dish:
        return 0.0
    if job.setup.existing_u is not None:
        return job.setup.existing_u
    if job.existing.volume is not None and job.existing.volume_from == "reading":
        return UNKNOWN_BURETTE
    # from lengths or a drawing: its depth is a rectangle of depth_uncertain
    crown = Chain.flat(0.0, section.outer)
    return job.existing.depth_uncertain / 3**0.5 * plan_area(section, crown)


def other_burettes(target: float) -> list[Burette]:
    """Burettes of ISO 385 that hold the target (mm3) in one fill, the coarser first."""
    found = []
    for row in table("burettes")["burette"]:
        if row["capacity_cc"] * MM3_PER_CC >= target:
            for grade in ("B", "A"):
                name = f"{row['capacity_cc']:g} cc / {row['graduation_cc']:g} cc class {grade}"
                found.append(
                    Burette(
                        capacity=row["capacity_cc"] * MM3_PER_CC,
                        largest_error=row[grade] * MM3_PER_CC,
                        graduation=row["graduation_cc"] * MM3_PER_CC,
                        name=name,
                    )
                )
    return sorted(found, key=lambda b: -b.largest_error)

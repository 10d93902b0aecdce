"""The new dish as the job asks for it, and which of its values is free."""

from toolpath.forms.points import in_half
from toolpath.forms.table import DISH
from toolpath.job.model import Job
from toolpath.profile.dish import Free, Shape
from toolpath.tool.insert import Insert


def _mouth_settled(job: Job) -> bool:
    return job.dish.mouth_diameter is not None or DISH[job.dish.form].own_mouth


def asked(job: Job, insert: Insert) -> tuple[Shape, Free | None]:
    """The shape as the job states it, and which value is free."""
    dish = job.dish
    shape = Shape(
        form=dish.form,
        insert_radius=insert.radius,
        mouth=None if dish.mouth_diameter is None else dish.mouth_diameter / 2,
        depth=dish.depth,
        corner=insert.radius if dish.corner_radius is None else dish.corner_radius,
        wall=dish.wall_angle,
        fall=dish.floor_angle or 0.0,
        points=tuple(in_half(dish.section_points or ())),
        dish=dish.drawn,
        lip=dish.lip_break or 0.0,
        lip_form=dish.lip_break_form,
    )
    wanted = dish.volume is not None or dish.compression_ratio is not None
    if shape.dish is not None and dish.depth is None and (not wanted or dish.fit == "scale"):
        shape = shape._replace(depth=-shape.dish.lowest)
        return shape, "mouth" if wanted else None
    if not wanted:
        return shape, None
    if dish.depth is None:
        return shape, "depth"
    if not _mouth_settled(job):
        return shape, "mouth"
    return shape, "skim" if _skim_is_free(job) else "mouth"


def _skim_is_free(job: Job) -> bool:
    crown = job.crown
    return crown.skim is None and crown.deck_clearance is None and crown.compression_height is None

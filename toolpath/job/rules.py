"""What the values of a job must be to one another; each rule yields the faults it finds.

A rule sees the job after its values were read one by one. In a job with faults some values are
missing (see toolpath.job.partial); a rule that looks at one of those is left off, so that one
mistake is not reported twice. Each rule therefore says what it looks at.
"""

import math
from collections.abc import Callable, Iterator
from typing import Final, TypeAlias

from toolpath.drawing.outline import outline_of, unit_doubt
from toolpath.drawing.sheet import DrawingError
from toolpath.errors import InputError
from toolpath.forms.table import DISH, EXISTING, listed
from toolpath.job.faults import Fault
from toolpath.job.model import Job
from toolpath.job.rule import Rule, given, looks_at, not_both
from toolpath.job.work import Dish, Existing

InsertRadius: TypeAlias = Callable[[str], float]

MOST_PASSES: Final = 10_000
MOST_FEED: Final = 0.25  # of the insert's radius, a revolution

EXISTING_ALWAYS: Final = frozenset({"form", "volume_from", "off_centre", "depth_uncertain"})
DISH_ALWAYS: Final = frozenset(
    {"form", "mouth_diameter", "depth", "volume_cc", "compression_ratio"}
    | {"tolerance_cc", "lip_break", "lip_break_form"}
)


def broken(job: Job, insert_radius: InsertRadius) -> list[Fault]:
    """The faults between values."""
    rules = (rule for rule in (*RULES, _insert_rule(insert_radius)) if rule.can_look(job))
    return [fault for rule in rules for fault in rule.faults(job)]


def _not_with_form(table: str, form: str, stated: frozenset[str], allowed: frozenset[str]) -> Iterator[Fault]:
    for key in sorted(stated - allowed):
        yield Fault(
            (table, key), f'it does not belong to {table}.form = "{form}"; leave it out or change the form'
        )


@looks_at("piston")
def _underside(job: Job) -> Iterator[Fault]:
    stated = given(job.piston)
    yield from not_both("piston", stated, "underside_depth", "underside")
    yield from not_both("piston", stated, "underside_depth", "underside_file")
    yield from not_both("piston", stated, "underside", "underside_file")


@looks_at("existing.form")
def _existing_keys(job: Job) -> Iterator[Fault]:
    form = job.existing.form
    yield from _not_with_form("existing", form, given(job.existing), EXISTING[form].keys | EXISTING_ALWAYS)


@looks_at("existing.form")
def _existing_enough(job: Job) -> Iterator[Fault]:
    stated = given(job.existing)
    yield from not_both("existing", stated, "points", "points_file")
    for key, text in EXISTING[job.existing.form].lacks(stated):
        yield Fault(("existing", key), text)


@looks_at("existing.form", "existing.mouth_diameter", "existing.depth", "existing.sphere_radius")
def _existing_odd(job: Job) -> Iterator[Fault]:
    for key, text in EXISTING[job.existing.form].odd(job.existing):
        yield Fault(("existing", key), text)


@looks_at("pocket")
def _pockets(job: Job) -> Iterator[Fault]:
    for place, pocket in enumerate(job.pocket):
        if pocket.overlap > pocket.volume:
            yield Fault(
                ("pocket", place, "overlap_cc"),
                "it is more than the pocket's own volume_cc; only a part can be shared",
            )


@looks_at("crown")
def _crown(job: Job) -> Iterator[Fault]:
    yield from not_both("crown", given(job.crown), "skim", "deck_clearance")


@looks_at("crown", "dish")
def _needs_engine(job: Job) -> Iterator[Fault]:
    if "engine" in job.model_fields_set:
        return
    if "deck_clearance" in given(job.crown):
        yield Fault(("crown", "deck_clearance"), "it needs [engine]; add that table or state crown.skim")
    if "compression_ratio" in given(job.dish):
        yield Fault(
            ("dish", "compression_ratio"), "it needs [engine]; add that table or state dish.volume_cc"
        )


@looks_at("dish.form")
def _dish_keys(job: Job) -> Iterator[Fault]:
    name, stated = job.dish.form, given(job.dish)
    form = DISH[name]
    yield from _not_with_form("dish", name, stated, form.keys | DISH_ALWAYS - form.bars)
    yield from not_both("dish", stated, "volume_cc", "compression_ratio")
    yield from not_both("dish", stated, "points", "points_file")
    for keys, text in form.needs.items():
        if not stated & set(keys):
            yield Fault(("dish", keys[0]), text)


@looks_at("dish.form", "crown")
def _dish_enough(job: Job) -> Iterator[Fault]:
    """Two of mouth, depth and volume; a third only where it leaves the skim to be found."""
    form, stated = job.dish.form, given(job.dish)
    target = stated & {"volume_cc", "compression_ratio"}
    own_mouth = DISH[form].own_mouth
    have = [key for key in ("mouth_diameter", "depth") if key in stated] + sorted(target)[:1]
    wanted = "depth or volume_cc" if own_mouth else "two of mouth_diameter, depth and volume_cc"
    enough = DISH[form].settled or bool(target) or "depth" in stated if own_mouth else len(have) >= 2
    if not enough:
        only = f"; only {have[0]} is stated" if have else ""
        yield Fault(
            ("dish", "form"), f"a {form} dish needs {wanted} (or compression_ratio with [engine]){only}"
        )
    too_many = bool(target) and "depth" in stated if own_mouth else len(have) == 3
    skim = given(job.crown) & {"skim", "deck_clearance", "compression_height"}
    if too_many and skim:
        others = [f"dish.{key}" for key in have[:-1]] + [f"crown.{min(skim)}"]
        yield Fault(
            ("dish", have[-1]),
            f"it cannot stand beside {listed(others)}; leave one out (without the skim, the skim is solved)",
        )


@looks_at("dish.form", "existing.form")
def _over_old(job: Job) -> Iterator[Fault]:
    if DISH[job.dish.form].over_old and not job.existing.is_dish:
        yield Fault(
            ("dish", "form"), 'there is nothing to deepen with existing.form = "none"; choose another form'
        )


@looks_at("dish.form", "dish.fit")
def _fit(job: Job) -> Iterator[Fault]:
    if "fit" in given(job.dish) and job.dish.fit == "scale" and "depth" in given(job.dish):
        yield Fault(("dish", "depth"), 'it cannot stand beside dish.fit = "scale"; keep one of the two')


@looks_at("existing.form", "existing.drawing", "existing.layer", "piston.crown_diameter")
def _old_drawing(job: Job) -> Iterator[Fault]:
    yield from _drawing("existing", job.existing, job.piston.crown_diameter)


@looks_at("dish.form", "dish.drawing", "dish.layer", "piston.crown_diameter")
def _new_drawing(job: Job) -> Iterator[Fault]:
    yield from _drawing("dish", job.dish, job.piston.crown_diameter)


def _drawing(name: str, table: Existing | Dish, crown: float) -> Iterator[Fault]:
    if table.drawing is None:
        if "layer" in given(table) and "drawing" not in given(table):
            yield Fault((name, "layer"), f"it is a layer of {name}.drawing, which is missing")
        return
    try:
        odd = unit_doubt(outline_of(table.drawing, table.layer), crown)
    except DrawingError as error:
        odd = str(error)
    if odd:
        yield Fault((name, "drawing"), odd)


@looks_at("tool")
def _tool(job: Job) -> Iterator[Fault]:
    stated = given(job.tool)
    yield from not_both("tool", stated, "insert", "insert_diameter")
    if not stated & {"insert", "insert_diameter"}:
        yield Fault(
            ("tool", "insert"),
            "it is missing; give an ISO 1832 designation of a round insert, or insert_diameter",
        )


@looks_at("tool")
def _designation(job: Job) -> Iterator[Fault]:
    stated = given(job.tool)
    if "insert" not in stated or "insert_diameter" in stated:
        return
    for key in ("relief", "thickness", "tolerance"):
        if key in stated:
            yield Fault(
                ("tool", key), "tool.insert states it already; keep it only beside tool.insert_diameter"
            )


def _insert_rule(insert_radius: InsertRadius) -> Rule:
    @looks_at("tool.insert", "tool.insert_diameter", "cutting.feed", "cutting.finish_feed")
    def rule(job: Job) -> Iterator[Fault]:
        tool = job.tool
        if tool.insert is not None:
            try:
                radius = insert_radius(tool.insert)
            except (InputError, ValueError) as error:
                yield Fault(("tool", "insert"), str(error))
                return
        elif tool.insert_diameter is not None:
            radius = tool.insert_diameter / 2
        else:
            return
        for key, feed in (("feed", job.cutting.feed), ("finish_feed", job.cutting.finish_feed)):
            if key in given(job.cutting) and feed is not None and feed > radius * MOST_FEED:
                yield Fault(
                    ("cutting", key),
                    f"{feed:g} mm/rev is over a quarter of the insert radius, {radius * MOST_FEED:g} mm; "
                    "take a finer feed, and look at the unit",
                )

    return rule


@looks_at("holder")
def _holder(job: Job) -> Iterator[Fault]:
    if job.holder is None:
        return
    stated = given(job.holder)
    for key in ("direction", "width", "set_back", "overhang"):
        yield from not_both("holder", stated, key, "outline")
    for key in ("direction", "width"):
        if not stated & {key, "outline"}:
            yield Fault(("holder", key), "it is missing; give direction and width, or an outline")


@looks_at("cutting")
def _speed(job: Job) -> Iterator[Fault]:
    stated = given(job.cutting)
    yield from not_both("cutting", stated, "surface_speed", "fixed_rpm")
    if not stated & {"surface_speed", "fixed_rpm"}:
        yield Fault(("cutting", "surface_speed"), "it is missing; give surface_speed or fixed_rpm")


@looks_at("cutting.fixed_rpm", "cutting.finish_rpm", "cutting.rpm_limit")
def _speed_limit(job: Job) -> Iterator[Fault]:
    limit = job.cutting.rpm_limit
    stated = "rpm_limit" in given(job.cutting)
    for key, rpm in (("fixed_rpm", job.cutting.fixed_rpm), ("finish_rpm", job.cutting.finish_rpm)):
        if key in given(job.cutting) and rpm is not None and rpm > limit:
            yield Fault(
                ("cutting", key),
                f"it is over cutting.rpm_limit, {limit:g} rev/min; lower one or raise the other"
                if stated
                else f"it is over {limit:g} rev/min, the cap where cutting.rpm_limit is not stated; "
                "state the highest speed that chuck and fixture bear",
            )


@looks_at("cutting.surface_speed", "cutting.fixed_rpm", "cutting.finish_speed", "cutting.finish_rpm")
def _finish_speed(job: Job) -> Iterator[Fault]:
    """The finishing cut runs under the same kind of speed as the rest."""
    stated = given(job.cutting)
    for key, beside in (("finish_speed", "surface_speed"), ("finish_rpm", "fixed_rpm")):
        if key in stated and beside not in stated:
            yield Fault(("cutting", key), f"it needs cutting.{beside}, the speed of the other cuts")


@looks_at("cutting.allowance", "cutting.dish_depth_of_cut")
def _allowance(job: Job) -> Iterator[Fault]:
    allowance, cut = job.cutting.allowance, job.cutting.dish_depth_of_cut
    if allowance >= cut:
        yield Fault(
            ("cutting", "allowance"),
            f"{allowance:g} mm is not below cutting.dish_depth_of_cut, {cut:g} mm; "
            "leave less for the finishing cut",
        )


@looks_at("crown.skim", "cutting.skim_depth_of_cut")
def _skim_passes(job: Job) -> Iterator[Fault]:
    yield from _passes("skim_depth_of_cut", job.crown.skim or 0.0, job.cutting.skim_depth_of_cut)


@looks_at("dish.depth", "dish.volume", "piston.crown_diameter", "cutting.dish_depth_of_cut")
def _dish_passes(job: Job) -> Iterator[Fault]:
    depth = job.dish.depth
    if depth is None:
        # no dish of this volume is shallower than one as wide as the crown
        depth = (job.dish.volume or 0.0) / (math.pi / 4 * job.piston.crown_diameter**2)
    yield from _passes("dish_depth_of_cut", depth, job.cutting.dish_depth_of_cut)


def _passes(key: str, depth: float, cut: float) -> Iterator[Fault]:
    if depth / cut > MOST_PASSES:
        yield Fault(("cutting", key), f"it would take more than {MOST_PASSES} passes; take a deeper cut")


@looks_at("holding")
def _holding(job: Job) -> Iterator[Fault]:
    if job.holding is None:
        return
    stated = given(job.holding)
    yield from not_both("holding", stated, "torque", "clamp_force")
    if "torque" in stated and "thread" not in stated:
        yield Fault(("holding", "thread"), "it is missing; a torque needs the thread it is put on")


@looks_at("burette.method", "burette.piston_below_deck", "engine")
def _down_the_bore(job: Job) -> Iterator[Fault]:
    """A reading down the bore shows the space over the crown too: its bore and height must be known."""
    if job.burette is None or job.burette.method != "down-the-bore":
        return
    if job.burette.piston_below_deck is None:
        what = "it is missing; a reading down the bore needs how deep the piston stands below the deck"
        yield Fault(("burette", "piston_below_deck"), what)
    if job.engine is None:
        yield Fault(("engine", "bore"), "it is missing; a reading down the bore needs [engine] with its bore")


@looks_at("crown.compression_height", "piston.compression_height", "piston.count", "cylinder")
def _height(job: Job) -> Iterator[Fault]:
    """A height wanted needs heights measured, and is one of three ways to state the skim."""
    stated = given(job.crown)
    for other in ("skim", "deck_clearance"):
        yield from not_both("crown", stated, "compression_height", other)
    if job.crown.compression_height is None or job.piston.compression_height is not None:
        return
    told = {c.number for c in job.cylinder if c.compression_height is not None or c.skim is not None}
    if len(told) < job.piston.count:
        what = "it is missing; a height wanted needs the height measured, here or for every [[cylinder]]"
        yield Fault(("piston", "compression_height"), what)


@looks_at("cylinder", "piston.count", "crown.compression_height", "engine")
def _cylinders(job: Job) -> Iterator[Fault]:
    """Each piston once, and nothing that needs a table which is not there."""
    seen: set[int] = set()
    for k, own in enumerate(job.cylinder):
        at = ("cylinder", k)
        if own.number > job.piston.count:
            yield Fault((*at, "number"), f"the set has {job.piston.count} pistons; see piston.count")
        if own.number in seen:
            yield Fault(
                (*at, "number"), "this piston has a [[cylinder]] already; put its keys under one head"
            )
        seen.add(own.number)
        if own.target is not None and own.target_ratio is not None:
            yield Fault((*at, "target_ratio"), "it cannot stand beside target_cc; keep one of the two")
        for key in ("chamber", "deck_clearance", "target_ratio"):
            if getattr(own, key) is not None and job.engine is None:
                name = {"chamber": "chamber_cc"}.get(key, key)
                yield Fault((*at, name), "it needs [engine]: bore, stroke, chamber and gasket")
        if own.compression_height is not None and job.crown.compression_height is None:
            what = "it is measured; state the height wanted as crown.compression_height"
            yield Fault((*at, "compression_height"), what)


RULES: Final[tuple[Rule, ...]] = (
    _down_the_bore,
    _height,
    _cylinders,
    _underside,
    _existing_keys,
    _existing_enough,
    _existing_odd,
    _pockets,
    _crown,
    _needs_engine,
    _dish_keys,
    _dish_enough,
    _over_old,
    _fit,
    _old_drawing,
    _new_drawing,
    _tool,
    _designation,
    _holder,
    _speed,
    _speed_limit,
    _finish_speed,
    _allowance,
    _skim_passes,
    _dish_passes,
    _holding,
)

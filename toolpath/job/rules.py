"""What the values of a job must be to one another; each rule yields the faults it finds.

A rule sees the job after its values were read one by one. In a job with faults some values are
missing (see toolpath.job.partial); a rule that touches one of those is left off, so that one
mistake is not reported twice.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import nullcontext, suppress
from typing import Final, TypeAlias

from toolpath.errors import InputError
from toolpath.job.faults import Fault, fields_by_key
from toolpath.job.model import Job
from toolpath.job.types import Table

InsertRadius: TypeAlias = Callable[[str], float]
Rule: TypeAlias = Callable[[Job], Iterator[Fault]]

MOST_PASSES: Final = 10_000

EXISTING_KEYS: Final = {  # what may be stated for each form
    "none": frozenset[str](),
    "spherical": frozenset({"mouth_diameter", "depth", "sphere_radius", "volume_cc"}),
    "flat": frozenset({"mouth_diameter", "depth", "corner_radius", "volume_cc"}),
    "points": frozenset({"points", "volume_cc"}),
}
EXISTING_ALWAYS: Final = frozenset({"form", "volume_from", "off_centre", "depth_uncertain"})
SPHERE_KEYS: Final = ("mouth_diameter", "depth", "sphere_radius", "volume_cc")

DISH_KEYS: Final = {
    "flat": frozenset({"corner_radius", "wall_angle"}),
    "spherical": frozenset[str](),
    "tapered": frozenset({"corner_radius", "wall_angle", "floor_angle"}),
    "deepened": frozenset[str](),
    "points": frozenset({"points"}),
}
DISH_ALWAYS: Final = frozenset(
    {"form", "mouth_diameter", "depth", "volume_cc", "compression_ratio"}
    | {"tolerance_cc", "lip_break", "lip_break_form"}
)


def broken(job: Job, insert_radius: InsertRadius, *, complete: bool) -> list[Fault]:
    """The faults between values; `complete` says that every value of the job could be read."""
    faults: list[Fault] = []
    for rule in (*RULES, _insert_rule(insert_radius)):
        with nullcontext() if complete else suppress(AttributeError):
            for fault in rule(job):
                faults.append(fault)
    return faults


def given(table: Table) -> frozenset[str]:
    """The keys that the file states in a table, those with a fault included."""
    return frozenset(key for key, name in _names(table).items() if name in table.model_fields_set)


def _names(table: Table) -> dict[str, str]:
    fields = type(table).model_fields
    return {key: name for name, key in zip(fields, fields_by_key(type(table)), strict=True)}


def _not_both(table: str, stated: frozenset[str], first: str, second: str) -> Iterator[Fault]:
    if {first, second} <= stated:
        yield Fault((table, first), f"it cannot stand beside {table}.{second}; keep one of the two")


def _not_with_form(table: str, form: str, stated: frozenset[str], allowed: frozenset[str]) -> Iterator[Fault]:
    for key in sorted(stated - allowed):
        yield Fault(
            (table, key), f'it does not belong to {table}.form = "{form}"; leave it out or change the form'
        )


def _listed(keys: Sequence[str]) -> str:
    return f"{', '.join(keys[:-1])} and {keys[-1]}"


def _underside(job: Job) -> Iterator[Fault]:
    yield from _not_both("piston", given(job.piston), "underside_depth", "underside")


def _existing_keys(job: Job) -> Iterator[Fault]:
    form = job.existing.form
    yield from _not_with_form("existing", form, given(job.existing), EXISTING_KEYS[form] | EXISTING_ALWAYS)


def _existing_enough(job: Job) -> Iterator[Fault]:
    stated = given(job.existing)
    form = job.existing.form
    if form == "spherical":
        found = [key for key in SPHERE_KEYS if key in stated]
        if len(found) < 2:
            have = f"only {found[0]} is stated" if found else "none is"
            yield Fault(("existing", "form"), f"a spherical dish needs two of {_listed(SPHERE_KEYS)}; {have}")
        if len(found) > 2:
            yield Fault(
                ("existing", "form"), f"two values settle a spherical dish; keep two of {_listed(found)}"
            )
    if form == "flat":
        if "mouth_diameter" not in stated:
            yield Fault(("existing", "mouth_diameter"), "it is missing; a flat dish needs it")
        yield from _not_both("existing", stated, "depth", "volume_cc")
        if not stated & {"depth", "volume_cc"}:
            yield Fault(("existing", "depth"), "it is missing; a flat dish needs depth or volume_cc")
    if form == "points" and "points" not in stated:
        yield Fault(
            ("existing", "points"), "it is missing; give [[diameter, depth], ...] from the axis outward"
        )


def _existing_sphere(job: Job) -> Iterator[Fault]:
    old = job.existing
    if old.form != "spherical":
        return
    if old.mouth_diameter and old.depth and old.depth > old.mouth_diameter / 2:
        yield Fault(
            ("existing", "depth"),
            f"{old.depth:g} mm is more than half of existing.mouth_diameter, {old.mouth_diameter:g} mm; "
            "a spherical dish is a hemisphere at most",
        )
    if old.mouth_diameter and old.sphere_radius and old.sphere_radius < old.mouth_diameter / 2:
        yield Fault(
            ("existing", "sphere_radius"),
            f"{old.sphere_radius:g} mm is less than half of existing.mouth_diameter, "
            f"{old.mouth_diameter:g} mm; no sphere of this radius has such a mouth",
        )
    if old.depth and old.sphere_radius and old.depth > old.sphere_radius:
        yield Fault(
            ("existing", "depth"),
            f"{old.depth:g} mm is more than existing.sphere_radius, {old.sphere_radius:g} mm; "
            "a spherical dish is a hemisphere at most",
        )


def _pockets(job: Job) -> Iterator[Fault]:
    for place, pocket in enumerate(job.pocket):
        if pocket.overlap > pocket.volume:
            yield Fault(
                ("pocket", place, "overlap_cc"),
                "it is more than the pocket's own volume_cc; only a part can be shared",
            )


def _crown(job: Job) -> Iterator[Fault]:
    yield from _not_both("crown", given(job.crown), "skim", "deck_clearance")


def _needs_engine(job: Job) -> Iterator[Fault]:
    if "engine" in job.model_fields_set:
        return
    if "deck_clearance" in given(job.crown):
        yield Fault(("crown", "deck_clearance"), "it needs [engine]; add that table or state crown.skim")
    if "compression_ratio" in given(job.dish):
        yield Fault(
            ("dish", "compression_ratio"), "it needs [engine]; add that table or state dish.volume_cc"
        )


def _dish_keys(job: Job) -> Iterator[Fault]:
    form = job.dish.form
    yield from _not_with_form("dish", form, given(job.dish), DISH_KEYS[form] | DISH_ALWAYS)
    yield from _not_both("dish", given(job.dish), "volume_cc", "compression_ratio")
    if form == "points" and "points" not in given(job.dish):
        yield Fault(("dish", "points"), "it is missing; give [[diameter, depth], ...] from the axis outward")
    if form == "tapered" and "floor_angle" not in given(job.dish):
        yield Fault(("dish", "floor_angle"), "it is missing; give the fall of the floor in degrees")


def _dish_enough(job: Job) -> Iterator[Fault]:
    """Two of mouth, depth and volume; a third only where it leaves the skim to be found."""
    form, stated = job.dish.form, given(job.dish)
    target = stated & {"volume_cc", "compression_ratio"}
    mouth_free = form in ("deepened", "points")
    have = [key for key in ("mouth_diameter", "depth") if key in stated] + sorted(target)[:1]
    wanted = "depth or volume_cc" if mouth_free else "two of mouth_diameter, depth and volume_cc"
    enough = bool(target) or "depth" in stated if mouth_free else len(have) >= 2
    if not enough:
        only = f"; only {have[0]} is stated" if have else ""
        yield Fault(
            ("dish", "form"), f"a {form} dish needs {wanted} (or compression_ratio with [engine]){only}"
        )
    too_many = bool(target) and "depth" in stated if mouth_free else len(have) == 3
    skim = given(job.crown) & {"skim", "deck_clearance"}
    if too_many and skim:
        others = [f"dish.{key}" for key in have[:-1]] + [f"crown.{min(skim)}"]
        yield Fault(
            ("dish", have[-1]),
            f"it cannot stand beside {_listed(others)}; leave one out (without the skim, the skim is solved)",
        )


def _deepened(job: Job) -> Iterator[Fault]:
    if job.dish.form == "deepened" and job.existing.form == "none":
        yield Fault(
            ("dish", "form"), 'there is nothing to deepen with existing.form = "none"; choose another form'
        )


def _tool(job: Job) -> Iterator[Fault]:
    stated = given(job.tool)
    yield from _not_both("tool", stated, "insert", "insert_diameter")
    if not stated & {"insert", "insert_diameter"}:
        yield Fault(
            ("tool", "insert"),
            "it is missing; give an ISO 1832 designation of a round insert, or insert_diameter",
        )


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
        if job.cutting.feed > radius / 2:
            yield Fault(
                ("cutting", "feed"),
                f"{job.cutting.feed:g} mm/rev is over half the insert radius, {radius / 2:g} mm; "
                "take a finer feed",
            )

    return rule


def _holder(job: Job) -> Iterator[Fault]:
    if job.holder is None:
        return
    stated = given(job.holder)
    for key in ("direction", "width", "set_back", "overhang"):
        yield from _not_both("holder", stated, key, "outline")
    for key in ("direction", "width"):
        if not stated & {key, "outline"}:
            yield Fault(("holder", key), "it is missing; give direction and width, or an outline")


def _speed(job: Job) -> Iterator[Fault]:
    stated = given(job.cutting)
    yield from _not_both("cutting", stated, "surface_speed", "fixed_rpm")
    if not stated & {"surface_speed", "fixed_rpm"}:
        yield Fault(("cutting", "surface_speed"), "it is missing; give surface_speed or fixed_rpm")


def _speed_limit(job: Job) -> Iterator[Fault]:
    rpm, limit = job.cutting.fixed_rpm, job.cutting.rpm_limit
    if rpm is not None and "rpm_limit" in given(job.cutting) and rpm > limit:
        yield Fault(
            ("cutting", "fixed_rpm"),
            f"it is over cutting.rpm_limit, {limit:g} rev/min; lower one or raise the other",
        )


def _allowance(job: Job) -> Iterator[Fault]:
    allowance, cut = job.cutting.allowance, job.cutting.dish_depth_of_cut
    if allowance >= cut:
        yield Fault(
            ("cutting", "allowance"),
            f"{allowance:g} mm is not below cutting.dish_depth_of_cut, {cut:g} mm; "
            "leave less for the finishing cut",
        )


def _skim_passes(job: Job) -> Iterator[Fault]:
    yield from _passes("skim_depth_of_cut", job.crown.skim or 0.0, job.cutting.skim_depth_of_cut)


def _dish_passes(job: Job) -> Iterator[Fault]:
    depth = job.dish.depth
    if depth is None:
        # no dish of this volume is shallower than one as wide as the crown
        depth = (job.dish.volume or 0.0) / (math.pi / 4 * job.piston.crown_diameter**2)
    yield from _passes("dish_depth_of_cut", depth, job.cutting.dish_depth_of_cut)


def _passes(key: str, depth: float, cut: float) -> Iterator[Fault]:
    if depth / cut > MOST_PASSES:
        yield Fault(("cutting", key), f"it would take more than {MOST_PASSES} passes; take a deeper cut")


def _holding(job: Job) -> Iterator[Fault]:
    if job.holding is None:
        return
    stated = given(job.holding)
    yield from _not_both("holding", stated, "torque", "clamp_force")
    if "torque" in stated and "thread" not in stated:
        yield Fault(("holding", "thread"), "it is missing; a torque needs the thread it is put on")


def _down_the_bore(job: Job) -> Iterator[Fault]:
    """A reading down the bore shows the space over the crown too: its bore and height must be known."""
    if job.burette is None or job.burette.method != "down-the-bore":
        return
    if job.burette.piston_below_deck is None:
        what = "it is missing; a reading down the bore needs how deep the piston stands below the deck"
        yield Fault(("burette", "piston_below_deck"), what)
    if job.engine is None:
        yield Fault(("engine", "bore"), "it is missing; a reading down the bore needs [engine] with its bore")


def _height(job: Job) -> Iterator[Fault]:
    """A height wanted needs heights measured, and is one of three ways to state the skim."""
    stated = given(job.crown)
    for other in ("skim", "deck_clearance"):
        yield from _not_both("crown", stated, "compression_height", other)
    if job.crown.compression_height is None or job.piston.compression_height is not None:
        return
    told = {c.number for c in job.cylinder if c.compression_height is not None or c.skim is not None}
    if len(told) < job.piston.count:
        what = "it is missing; a height wanted needs the height measured, here or for every [[cylinder]]"
        yield Fault(("piston", "compression_height"), what)


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
    _existing_sphere,
    _pockets,
    _crown,
    _needs_engine,
    _dish_keys,
    _dish_enough,
    _deepened,
    _tool,
    _designation,
    _holder,
    _speed,
    _speed_limit,
    _allowance,
    _skim_passes,
    _dish_passes,
    _holding,
)

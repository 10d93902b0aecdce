"""The loop through the burette: a piston's readings, where it stands, and how deep the next cut goes.

The estimate itself is `toolpath.shop`'s; here the sections say how a volume answers to each error.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from toolpath.design import Design
from toolpath.errors import InputError
from toolpath.findings import Finding, Stopped
from toolpath.geometry.chain import Chain, deeper
from toolpath.geometry.reach import centre_curve, swept
from toolpath.job.model import Job
from toolpath.piston.dish import Search, plan_area
from toolpath.piston.existing import holding
from toolpath.piston.forms import mouth_radius
from toolpath.reference import table
from toolpath.shop.budget import Burette, Sensitivities, Setup, Zero
from toolpath.shop.reach import Plan, reach
from toolpath.shop.readings import Reading
from toolpath.shop.stages import (
    AS_RECEIVED,
    LEAST_CHANCE,
    Expected,
    Form,
    Progress,
    ahead,
    another_is_wiser,
    expected,
    first_target,
    last_target,
)

Part = Literal["first", "last"]
UNREAD = 2000.0  # mm3, standard uncertainty of an old dish before its reading: as good as unknown
UNKNOWN_METHOD = 50.0  # mm3, of a reading with a burette that is not stated; common practice, no source
TRIAL = 0.02  # mm by which a path is moved to see how the volume answers
SAME_CUT = 1e-5  # mm; readings after cuts nearer than this are of one cut
LEAST_CUT = 0.005  # mm; a shallower last cut is none


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
    rows = [r for r in table("burettes")["burette"] if abs(r["capacity_cc"] * 1000 - stated.capacity) < 1e-6]
    if stated.graduation is not None:
        rows = [r for r in rows if abs(r["graduation_cc"] * 1000 - stated.graduation) < 1e-6]
    if not rows:
        known = ", ".join(
            f"{r['capacity_cc']:g}/{r['graduation_cc']:g}" for r in table("burettes")["burette"]
        )
        raise InputError(
            f"burette.capacity_cc = {stated.capacity / 1000:g}: no such burette in ISO 385; "
            f"capacity/graduation in cc may be {known}"
        )
    row = rows[0]
    one = Burette(
        capacity=stated.capacity,
        largest_error=row[stated.class_] * 1000,
        graduation=row["graduation_cc"] * 1000,
        name=stated.name or f"{row['capacity_cc']:g} cc class {stated.class_}",
        source=f"ISO 385:2005 class {stated.class_}",
    )
    return replace(one, fills=stated.fills or one.fills_for(volume))


def setup_of(design: Design, old_dish: float) -> Setup:
    """The job's standard uncertainties; `old_dish` (mm3) is that of the dish as received."""
    stated = design.received.job.setup
    insert = design.insert
    radius = stated.insert_radius_u
    if radius is None:
        radius = (insert.tolerance or 0.0) / 2 / 3**0.5
    names = {"touch_off", "x_touch", "refit", "repeat"} & stated.model_fields_set
    if "insert_radius_u" in stated.model_fields_set:
        names.add("insert_radius")
    if "existing_u" in stated.model_fields_set:
        names.add("old_dish")
    return Setup(
        insert_radius=radius,
        old_dish=old_dish,
        touch_off=stated.touch_off,
        x_touch=stated.x_touch,
        refit=stated.refit,
        repeat=stated.repeat,
        stated=frozenset(names),
    )


def _old_dish_u(design: Design) -> float:
    """Standard uncertainty of the old dish's volume as the job states it, mm3."""
    job = design.received.job
    if job.existing.form == "none":
        return 0.0
    if job.setup.existing_u is not None:
        return job.setup.existing_u
    if job.existing.volume is None:  # from lengths: its depth is a rectangle of depth_uncertain
        return job.existing.depth_uncertain / 3**0.5 * plan_area(design.received.section, _flat(design))
    return UNKNOWN_METHOD


def _flat(design: Design) -> Chain:
    return Chain.flat(0.0, design.received.outer)


@dataclass(frozen=True)
class Model:
    """How the volume of a design answers to errors, worked out at an old dish larger than stated by `old`."""

    design: Design
    old: float = 0.0  # mm3

    @cached_property
    def received(self) -> Chain:
        """The old dish as it is believed to be, crown at z = 0."""
        return self._received(0.0)

    def _received(self, more: float) -> Chain:
        section, job = self.design.received.section, self.design.received.job
        if self.old + more == 0.0:
            return section
        return holding(job.existing, section, section.volume_below() + self.old + more)

    def at_old(self) -> Design:
        """The design over the old dish as it is believed to be."""
        return replace(self.design, received=replace(self.design.received, section=self.received))

    def deep(self, depth: float) -> Design:
        """The design with its cut `depth` mm deep."""
        design = self.at_old()
        return replace(design, shape=replace(design.shape, depth=depth))

    def skimmed_form(self) -> Form:
        """After the skim, before any dish cut."""
        here = self._seen(None)
        span = self._span(UNREAD / 10)
        old = (self._seen(None, old=span) - self._seen(None, old=-span)) / (2 * span) if span else 0.0
        show = (self._seen(None, skim=-TRIAL) - self._seen(None, skim=TRIAL)) / (2 * TRIAL)
        return Form(here - old * self.old, Sensitivities(old=old, show=show + self._pockets()))

    def cut_form(self, depth: float, u_old: float, *, wary: bool = False) -> Form:
        """After a cut of `depth` mm.

        The old dish answers over the span of its uncertainty `u_old` (mm3), since a bowl below the new
        floor answers unevenly; `wary` takes it from the believed size upward only, so that the chance
        to overshoot is not understated.
        """
        cut = self.deep(depth).cut
        up = self._span(2.6 * u_old if wary else 1.7 * u_old)
        down = 0.0 if wary else up

        def slope(name: Literal["dz", "dx", "insert"]) -> float:
            more, less = self._seen(cut, **{name: TRIAL}), self._seen(cut, **{name: -TRIAL})
            return (more - less) / (2 * TRIAL)

        old = (self._seen(cut, old=up) - self._seen(cut, old=-down)) / (up + down) if up + down else 0.0
        show = (self._seen(cut, skim=-TRIAL) - self._seen(cut, skim=TRIAL)) / (2 * TRIAL)
        answers = Sensitivities(
            z=slope("dz"), x=slope("dx"), insert=slope("insert"), old=old, show=show + self._pockets()
        )
        mouth = mouth_radius(self.deep(depth).finished)
        return Form(self._seen(cut) - old * self.old, answers, depth=depth, mouth=2 * mouth)

    def _span(self, wanted: float) -> float:
        """A step of the old dish's volume that leaves a dish, mm3."""
        return min(wanted, 0.4 * max(0.0, self.received.volume_below()))

    def _pockets(self) -> float:
        return self.design.received.pockets.area(self.design.skim)

    def _seen(
        self,
        cut: Chain | None,
        *,
        dz: float = 0.0,
        dx: float = 0.0,
        insert: float = 0.0,
        old: float = 0.0,
        skim: float = 0.0,
    ) -> float:
        """The volume that the reading sees, mm3, with the errors (mm, mm3) as they would really act.

        `dz` and `skim` are positive downward, `dx` outward.
        """
        design = self.design
        section = self.received if old == 0.0 else self._received(old)
        surface = deeper(section.moved(design.skim + skim), _flat(design))
        if cut is not None:
            surface = deeper(surface, self._really(cut, dz, dx, insert))
        return surface.volume_below() + design.received.beside(design.skim, cut=cut is not None)

    def _really(self, cut: Chain, dz: float, dx: float, insert: float) -> Chain:
        """What the finishing path leaves when it lies dz deeper and dx further out, with a larger insert.

        The floor is right by touch-off in every case; the wall too where the outer side was touched, while
        the inner side puts it out by twice the error.
        """
        if dz == dx == insert == 0.0:
            return cut
        radius = self.design.insert.radius
        mouth = mouth_radius(cut)
        path = centre_curve(cut, radius).clipped(0.0, min(mouth, cut.outer))
        side = 1.0 if self.design.received.job.tool.control_point == "face-inner" else -1.0
        moved = path.shifted(dx + side * insert, insert - dz)
        return deeper(swept(moved, radius + insert, cut.outer), Chain.flat(0.0, cut.outer))

    def depth_for(self, seen: float) -> float:
        """The depth of cut at which the reading would see `seen` mm3 over the old dish as believed.

        Raises:
            Stopped: no depth reaches it.
        """
        design = self.at_old()
        turned = seen - design.received.beside(design.skim, cut=True)
        job = design.received.job
        deepest = job.piston.underside_depth or design.received.outer
        shape = replace(design.shape, depth=None)
        search = Search(shape, self.received, design.skim, max(deepest - design.skim, 1e-3))
        return search.solved("depth", lambda _: turned)[0].depth or 0.0


@dataclass(frozen=True)
class Standing:
    """Where one piston stands: what was cut, what is known, and the sections that go with it."""

    progress: Progress
    model: Model
    cut_depth: float  # mm, of the cuts so far; 0 before the first

    @property
    def old(self) -> float:
        """By how much the old dish is believed to be larger than stated, mm3."""
        return _old_of(self.progress)[0]


def _old_of(progress: Progress) -> tuple[float, float]:
    """Mean and standard uncertainty of the old dish's error, mm3."""
    found = progress.state.predict({"old dish": 1.0})
    return float(found.mean), float(found.u)


def started(design: Design, readings: Iterable[Reading]) -> Progress:
    """The piston as received; the job's own reading counts where the piston has none of its own."""
    job = design.received.job
    seen = design.as_received_seen
    burette = burette_of(job, max(design.target, seen))
    own = [r.volume for r in readings if r.after == "as-received" and r.volume is not None]
    from_job = job.existing.volume is not None and job.existing.volume_from == "reading"
    if job.existing.form == "none":
        own, from_job = [], False
    measured = bool(own) or (from_job and job.setup.existing_u is None)
    u = max(UNREAD, _old_dish_u(design)) if measured else _old_dish_u(design)
    progress = Progress.start(setup_of(design, u), burette, Form(seen, AS_RECEIVED))
    for volume in own or ([seen] if measured else []):
        progress = progress.read_volume(volume)
    return progress


def standing(design: Design, readings: Sequence[Reading]) -> Standing:
    """Take one piston's readings in the order in which they were made.

    The sections are worked out at the old dish that the readings tell: two rounds settle an uneven bowl.
    """
    try:
        return _settled(design, readings)
    except Stopped as stopped:
        raise InputError(
            f"the readings of this piston make no dish ({stopped.finding.what}); withdraw the wrong one "
            "with dishpath reading --undo"
        ) from stopped


def _settled(design: Design, readings: Sequence[Reading]) -> Standing:
    old, u = _old_of(started(design, readings))
    for _ in range(2 if any(r.after != "as-received" for r in readings) else 1):
        now = _replayed(Model(design, old), readings, u)
        old, u = _old_of(now.progress)
    return now


def _replayed(model: Model, readings: Sequence[Reading], u_old: float) -> Standing:
    progress = started(model.design, readings)
    done = 0.0
    for reading in readings:
        if reading.after == "as-received":
            continue
        if reading.after == "skim":
            progress = progress.skimmed(model.skimmed_form())
        else:
            depth = reading.cut_depth or first_depth(Standing(progress, model, done))
            if abs(depth - done) > SAME_CUT:
                progress = progress.cut(model.cut_form(depth, u_old), zero_of(model.design, progress))
                done = depth
        progress = _read(progress, reading)
    return Standing(progress, model, done)


def _read(progress: Progress, reading: Reading) -> Progress:
    if reading.volume is not None:
        return progress.read_volume(reading.volume)
    if reading.depth is not None:
        return progress.read_depth(reading.depth)
    assert reading.mouth is not None
    return progress.read_mouth(reading.mouth)


def zero_of(design: Design, progress: Progress) -> Zero:
    """How the next cut gets its zero: with the skim in one fixing, else as [setup] says.

    Without a skim the first cut hangs on a touch-off of its own.
    """
    if progress.cuts == 0:
        return "same" if design.skim > 0 else "fresh"
    return design.received.job.setup.zero


def first_depth(now: Standing) -> float:
    """Depth (mm) of the deepest cut whose chance to overshoot the target is small enough.

    Raises:
        Stopped: so little is left that no cut is sure to stop short.
    """
    model, progress = now.model, now.progress
    design, zero = model.design, zero_of(model.design, progress)
    u_old = _old_of(progress)[1]
    depth = model.depth_for(design.target)
    for _ in range(3):
        form = model.cut_form(depth, u_old, wary=True)
        assert isinstance(form.answers.old, float)
        aim = float(first_target(progress, form, zero, design.target)) + form.answers.old * model.old
        depth = model.depth_for(max(aim, model.at_old().skimmed_seen))
    if depth <= now.cut_depth + LEAST_CUT:
        what = "no further cut is sure to stop short of the target"
        advice = "take the last cut: --stage last" if progress.cuts else "read the piston as received first"
        raise Stopped(Finding("stop", "no-short-cut", what, depth, now.cut_depth, "mm", advice))
    return depth


@dataclass(frozen=True)
class Step:
    """The next cut of one piston."""

    design: Design  # over the old dish as believed, its shape at the depth to cut
    before: Chain | None  # the cut that stands already, crown at z = 0
    expected: Expected
    planned: Progress
    findings: tuple[Finding, ...]


def first_step(now: Standing) -> Step:
    """The cut that stops short for a reading."""
    model, zero = now.model, zero_of(now.model.design, now.progress)
    depth = first_depth(now)
    planned = now.progress.cut(model.cut_form(depth, _old_of(now.progress)[1]), zero)
    tolerance = model.design.received.job.dish.tolerance
    outcome = expected(planned, model.design.target, tolerance)
    return Step(model.deep(depth), _stands(now), outcome, planned, ())


def last_step(now: Standing) -> Step:
    """The cut that ends at the target as the readings have it.

    Raises:
        InputError: nothing was read after the first cut.
        Stopped: nothing is left to cut.
    """
    progress, model = now.progress, now.model
    design = model.design
    if progress.cuts == 0:
        raise InputError("--stage last: this piston has no reading after its first cut; enter it first")
    zero, target, tolerance = zero_of(design, progress), design.target, design.received.job.dish.tolerance
    u_old = _old_of(progress)[1]
    depth = model.depth_for(target)
    for _ in range(3):
        form = model.cut_form(depth, u_old)
        nominal = form.answers.old * model.old
        assert isinstance(nominal, float)
        aim = float(last_target(progress, form, zero, target)) + nominal
        depth = model.depth_for(max(aim, model.at_old().skimmed_seen))
    if depth <= now.cut_depth + LEAST_CUT:
        volume = float(progress.volume().mean)
        what = "nothing is left to cut: by its readings this piston is at its target, over it, or too near it"
        advice = "see dishpath set, for the set and a common target"
        raise Stopped(Finding("stop", "nothing-to-cut", what, volume / 1000, target / 1000, "cc", advice))
    form = model.cut_form(depth, u_old)
    planned = progress.cut(form, zero)
    outcome = expected(progress, target, tolerance, planned)
    found: list[Finding] = []
    wiser = another_is_wiser(progress, form, zero, target, tolerance)
    if wiser is not None:
        found.append(Finding("warning", "short-cut-wiser", wiser, advice="make --stage first once more"))
    return Step(model.deep(depth), _stands(now), outcome, planned, tuple(found))


def _stands(now: Standing) -> Chain | None:
    return now.model.deep(now.cut_depth).cut if now.cut_depth > 0 else None


def in_reach(design: Design, readings: Sequence[Reading]) -> list[Finding]:
    """Beforehand: whether first and last cut will keep the tolerance, and what would reach it."""
    progress = started(design, readings)
    old, u_old = _old_of(progress)
    model = Model(design, old)
    start = Progress.start(progress.setup, progress.burette, progress.form)
    form = model.cut_form(model.depth_for(design.target), u_old)
    tolerance, zero = design.received.job.dish.tolerance, design.received.job.setup.zero
    first_zero = zero_of(design, progress)
    chance = ahead(progress, [(form, first_zero), (form, zero)], design.target, tolerance).chance
    if chance >= LEAST_CHANCE or progress.burette is None:
        return []
    plan = Plan(start.form, form, form, first_zero, zero, design.target, tolerance)
    setup = replace(progress.setup, old_dish=u_old)
    found = reach(plan, setup, progress.burette, _other_burettes(design))
    advice = "; or ".join(found.remedies) or "allow a larger dish.tolerance_cc"
    what = (
        f"burette, refit and area put the tolerance out of reach: kept in {found.chance:.0%} of cases; "
        f"{found.tolerance / 1000:.3f} cc would be kept in {LEAST_CHANCE:.0%}"
    )
    value, limit = found.tolerance / 1000, tolerance / 1000
    return [Finding("warning", "tolerance-out-of-reach", what, value, limit, "cc", advice)]


def _other_burettes(design: Design) -> list[Burette]:
    """Burettes of ISO 385 that hold the target in one fill, the coarser first."""
    found = []
    for row in table("burettes")["burette"]:
        if row["capacity_cc"] * 1000 >= design.target:
            for grade in ("B", "A"):
                name = f"{row['capacity_cc']:g} cc / {row['graduation_cc']:g} cc class {grade}"
                found.append(
                    Burette(
                        capacity=row["capacity_cc"] * 1000,
                        largest_error=row[grade] * 1000,
                        graduation=row["graduation_cc"] * 1000,
                        name=name,
                    )
                )
    return sorted(found, key=lambda b: -b.largest_error)

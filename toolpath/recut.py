"""Where the wings meet: a job and a stage become sections, passes, moves, figures and findings."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal, NamedTuple

from toolpath.clearance.room import Clearance, clearance_of
from toolpath.errors import InputError
from toolpath.findings import Finding, attempt, by_urgency, stops
from toolpath.forms.sections import mouth_radius
from toolpath.geometry.chain import Chain, deeper
from toolpath.job.model import Job
from toolpath.moves import Move
from toolpath.planner.advice import running_findings
from toolpath.planner.asked import rules_of, running_of
from toolpath.planner.plan import Plan, Work, finished_section, planned
from toolpath.planner.steps import Running, Step, steps_of
from toolpath.planner.stock import Stock
from toolpath.profile import engine as engines
from toolpath.profile.design import Design, Received, designed
from toolpath.tool.insert import Insert
from toolpath.tool.stated import insert_of, statements
from toolpath.tool.touchoff import Shown, TouchOff
from toolpath.workholding.grip import grip_findings

if TYPE_CHECKING:
    from toolpath.readings.facts import CutFacts
    from toolpath.readings.log import Entry
    from toolpath.readings.next_cut import NextCut
    from toolpath.readings.standing import Known

Stage = Literal["whole", "first", "last"]
HOPELESS = ("unit-slip", "raised-crown")  # codes of findings that leave nothing to solve
MOST_PASSES = 10_000  # of one program; contract, refusals
CUT_UNCERTAIN = 0.1  # mm by which an earlier cut may lie higher than planned
AGREES = 0.04  # mm, a zero that stays and the crown that it left; common practice, no source


@dataclass(frozen=True)
class Recut:
    """Everything that can be said about one piston's recut at one stage."""

    job: Job
    stage: Stage
    piston: int | None
    insert: Insert
    design: Design
    plan: Plan
    findings: tuple[Finding, ...]  # what forbids the cut may be among them
    steps: tuple[Step, ...]  # every move, insert-centre frame, with what it is for
    clearance: Clearance  # room round the tool, metal left in the crown
    next_cut: (
        "NextCut | None"  # the cut of a stage and what it will leave; None for one cut without a reading
    )
    readings: "tuple[Entry, ...]"  # the log of this piston, in order

    @property
    def stopped(self) -> bool:
        """Whether a finding forbids a program."""
        return bool(stops(self.findings))

    @property
    def moves(self) -> tuple[Move, ...]:
        """Every move, insert-centre frame."""
        return tuple(step.move for step in self.steps)

    @cached_property
    def running(self) -> Running:
        """Speeds, feeds and positions of the machine."""
        skim = self.plan.work.skim
        return running_of(self.job, self.insert, skim, cut_words(self.job, self.stage, self.piston))

    @property
    def cut_words(self) -> str:
        """Which cut of which piston this is, as it stands on program and proof."""
        return cut_words(self.job, self.stage, self.piston)

    @cached_property
    def finished(self) -> Chain:
        """The section that the program is to leave, edge break included."""
        return finished_section(self.plan.work)

    @cached_property
    def touch_off(self) -> TouchOff:
        """Where the tool touches the piston."""
        job, received = self.job, self.design.received
        mouth = mouth_radius(received.section)
        finished = job.setup.crown_touched == "finished" or self.later_cut
        return TouchOff(
            control_point=job.tool.control_point,
            insert_radius=self.insert.radius,
            skim=0.0 if finished else self.design.skim,
            feeler=job.setup.feeler,
            touch_diameter=job.piston.touch_diameter or job.piston.crown_diameter,
            touch_at=job.piston.touch_at,
            rim_middle=(mouth + received.outer) / 2,
        )

    @property
    def removed_volume(self) -> float:
        """Metal that the plan removes, skim and breaks included, mm3."""
        stock, finished = self.plan.work.stock.surface, self.finished
        volume = finished.volume_below(stock.highest) - stock.volume_below(stock.highest)
        pockets = self.design.received.pockets
        # the skim meets air over the pockets
        above = self.design.skim - self.plan.work.skim
        volume += pockets.volume(self.design.skim, shared=False) - pockets.volume(above, shared=False)
        return max(0.0, volume)

    @cached_property
    def facts(self) -> "CutFacts":
        """What this cut leaves, for the log."""
        from toolpath.readings.changes import old_dish
        from toolpath.readings.facts import CutFacts, first_zero

        design = self.design
        zero = first_zero(design.skim) if self.next_cut is None else self.next_cut.zero
        stated = old_dish(replace(design, received=Received.of(self.job)))
        return CutFacts.of(
            self.stage,
            zero,
            design.skim,
            design.shape,
            self.job.tool.control_point,
            design.target,
            stated,
            design.cut,
        )

    @cached_property
    def mark(self) -> str:
        """The letters that tell two makes apart; they stand in head, card and page."""
        return self.facts.mark

    @property
    def later_cut(self) -> bool:
        """Whether a cut stands already, so that the crown is the finished one."""
        return self.next_cut is not None and self.next_cut.before is not None

    @property
    def zero_stays(self) -> bool:
        """Whether the zero of the cut before is used again, so that touching the crown is only a check."""
        return self.later_cut and self.job.zero in ("kept", "noted")

    def zero_words(self, shown: Shown) -> tuple[str, ...]:
        """What the operator does about the zero when a cut stands already; kept and fresh name each other."""
        if not self.later_cut:
            return ()
        condition = "same insert, not turned, same station, seat wiped, piston to its witness mark"
        proof = f"A feeler on the FINISHED crown must agree within {shown.z(AGREES)} before cutting"
        if self.job.zero == "noted":
            return (
                f"Zero noted: {condition}; touch the fixture's face again with the same feeler, set the noted "
                "zero, and take up what the face has moved",
                f"{proof}. If it does not, have this cut made again with a fresh zero",
            )
        if self.job.zero == "kept":
            return (
                f"Zero kept: {condition}; touch nothing off",
                f"{proof}. If any of that is not so, have this cut made again with a fresh zero, touched off on "
                "the FINISHED crown",
            )
        return (
            "Zero fresh: touch off anew on the FINISHED crown",
            f"A kept zero would carry less error: {condition}",
        )

    def head_touch_lines(self, shown: Shown) -> tuple[str, str, str]:
        """The two touch-off lines of a program's head, and its check."""
        z, x, check = self.touch_off.head_lines(shown)
        if self.zero_stays:
            how = {
                "kept": "touch nothing off",
                "noted": "touch the fixture's face again, take up its difference",
            }
            z = f"Zero {self.job.zero}: {how[self.job.zero]}. Same insert, not turned, seat wiped, piston to its mark"
            x = "If not so: have this program made again with a fresh zero"
        return z, x, check

    def touch_lines(self, shown: Shown) -> tuple[str, ...]:
        """What the operator does about the zero, and the numbers to set."""
        lines = self.touch_off.lines(shown)
        if self.zero_stays:
            lines = (lines[0], lines[-1])  # nothing is touched; X may still be compared
        return (*self.zero_words(shown), *lines)


class Refused(NamedTuple):
    """A job of which no section or no plan can be made, and why."""

    job: Job
    stage: Stage
    piston: int | None
    findings: tuple[Finding, ...]

    @property
    def stopped(self) -> Literal[True]:
        """Nothing can be written of it."""
        return True


def cut_words(job: Job, stage: Stage, piston: int | None) -> str:
    """Which cut of which piston, in capitals: PISTON 3 OF 4 - FIRST CUT."""
    cut = {"whole": "ONE CUT WITHOUT A READING", "first": "FIRST CUT", "last": "LAST CUT"}[stage]
    return cut if piston is None else f"PISTON {piston} OF {job.piston.count} - {cut}"


def resolve(
    job: Job,
    *,
    stage: Stage = "whole",
    piston: int | None = None,
    readings: "Sequence[Entry]" = (),
    known: "Known | None" = None,
) -> Recut | Refused:
    """Solve, plan and check one job at a stage.

    `readings` is the log of the piston, in order; `known` what the other pistons of the set tell.

    What forbids the cut is a finding. Where it leaves no section or no plan, the answer is `Refused`.

    Raises:
        InputError: the stage needs a piston, a burette or a reading that is not there.
    """
    insert = insert_of(job)
    stated = tuple(statements(job, insert))
    if any(f.code in HOPELESS for f in stated):
        return Refused(job, stage, piston, by_urgency(stated))
    made = attempt(lambda: _resolved(job, insert, stage, piston, tuple(readings), known, stated))
    if isinstance(made, Finding):
        return Refused(job, stage, piston, by_urgency((*stated, made)))
    return made


def design_of(job: Job) -> Design | tuple[Finding, ...]:
    """The section of a job by itself, or the findings that leave none."""
    insert = insert_of(job)
    stated = tuple(statements(job, insert))
    if any(f.code in HOPELESS for f in stated):
        return stops(stated)
    made = attempt(lambda: designed(job, insert))
    return (made,) if isinstance(made, Finding) else made


def _resolved(
    job: Job,
    insert: Insert,
    stage: Stage,
    piston: int | None,
    readings: "tuple[Entry, ...]",
    known: "Known | None",
    stated: tuple[Finding, ...],
) -> Recut:
    design = designed(job, insert)
    found = list(stated)
    cut: NextCut | None = None
    if stage != "whole" or job.burette is not None or readings:
        from toolpath.readings import next_cut  # the reading loop is a third of the start-up

        design, cut, told = next_cut.cut_at(stage, design, readings, known)
        found += told
        if stage == "whole" and piston is not None:
            found += next_cut.one_cut(design, readings, known)
    found += design.findings()
    _few_enough(job, design)
    plan = planned(work_of(design, cut), rules_of(job))
    words = cut_words(job, stage, piston)
    steps = steps_of(plan, running_of(job, insert, plan.work.skim, words))
    clearance, told = clearance_of(design, plan.work, plan.contour, steps)
    found += [*told, *grip_findings(design, plan), *_after(design, plan)]
    return Recut(job, stage, piston, insert, design, plan, by_urgency(found), steps, clearance, cut, readings)


def work_of(design: Design, cut: "NextCut | None" = None) -> Work:
    """What is to be cut: everything, or only the dish where a cut stands already."""
    old = design.received.job.existing
    stock = Stock.received(
        design.old, design.insert.radius, off_centre=old.off_centre, depth_uncertain=old.depth_uncertain
    )
    mouth = mouth_radius(design.finished)
    if cut is None or cut.before is None:
        return Work(stock, design.skim, design.cut, mouth, design.edge, design.old_lip)
    # the cut before may lie higher than planned: come down as if it did
    crown = Chain.flat(0.0, design.received.outer)
    surface = deeper(design.skimmed, cut.before)
    wary = deeper(deeper(stock.wary, crown), cut.before.moved(CUT_UNCERTAIN))
    for patch in (design.edge, design.old_lip):
        if patch is not None:
            surface, wary = deeper(surface, patch), deeper(wary, patch)
    return Work(Stock(surface, wary, design.insert.radius), 0.0, design.cut, mouth)


def _few_enough(job: Job, design: Design) -> None:
    """Refuse a depth of cut that no one meant: it would make more than `MOST_PASSES`."""
    cutting = job.cutting
    skims = math.ceil(design.skim / cutting.skim_depth_of_cut)
    levels = math.ceil(design.depth / cutting.dish_depth_of_cut)
    if skims + levels > MOST_PASSES:
        key = "dish_depth_of_cut" if levels >= skims else "skim_depth_of_cut"
        raise InputError(
            f"cutting.{key} = {getattr(cutting, key):g} mm: would make {skims + levels:,} passes, "
            f"more than {MOST_PASSES:,}; take a larger depth of cut"
        )


def _after(design: Design, plan: Plan) -> Iterable[Finding]:
    """The checks that need the finished section and the plan."""
    received, job = design.received, design.received.job
    plate = job.burette is None or job.burette.method == "plate-on-crown"
    yield from received.pockets.findings(design.skim, plate=plate)
    if received.engine is not None:
        yield from engines.findings(received.engine, design.skim)
    yield from running_findings(design, plan)

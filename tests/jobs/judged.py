"""One job taken through the whole tool in process and judged: refused with a stop, or a sound program."""

from dataclasses import dataclass, field

from postprocessors import BUILT_IN
from tests.jobs.generator import job_text
from tests.jobs.second_cutter import Opinion, opinion, outline, shift_of, steps_of
from toolpath.findings import stops
from toolpath.job.load import load
from toolpath.job.model import Job
from toolpath.program.by_hand import ByHand, table_of
from toolpath.program.frames import HAND, frame_of
from toolpath.program.proof import setup_of
from toolpath.program.text import Made, made
from toolpath.readback.verdict import Readback, Wanted
from toolpath.recut import Recut, resolve
from toolpath.reference import table
from toolpath.tool.insert import decode

GOUGE = 0.002  # mm, the contract's
SPARE = 0.005  # mm of bite over the depth of cut asked for


@dataclass(frozen=True, slots=True)
class Verdict:
    """`refused` holds the codes of stop findings, `faults` sentences, `figures` what was measured."""

    name: str
    refused: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    figures: dict[str, float] = field(default_factory=dict)


def read(text: str) -> Job:
    """The job of a text, as the command line reads it."""
    return load(
        text,
        name="job.toml",
        known_materials=frozenset(table("materials")),
        known_posts=frozenset(BUILT_IN) | {HAND},
        insert_radius=lambda designation: decode(designation).radius,
    )


def judged_seed(seed: int) -> Verdict:
    """The verdict on a generated job."""
    return judged(job_text(seed), f"seed {seed}")


def judged(text: str, name: str) -> Verdict:
    """The verdict on a job; an exception is a fault like any other."""
    try:
        recut = resolve(read(text))
        if recut.stopped:
            return Verdict(name, tuple(sorted({f.code for f in stops(recut.findings)})))
        program, by_hand = made(recut), table_of(recut)
        setup = setup_of(recut, frame_of(recut))
        second = second_of(recut, program, setup)
    except Exception as error:  # whatever comes out is a defect of the tool, and one line of the result
        return Verdict(name, faults=(f"{type(error).__name__}: {error}",))
    faults = [*_program_faults(recut, program.readback, second), *_table_faults(by_hand, recut)]
    figures = {
        "readback gouge, mm": program.readback.gouge,
        "second cutter's gouge, mm": second.gouge,
        "volume off, cc": abs(program.readback.volume - setup.expected_volume - setup.pockets) / 1000,
        "cutters apart in volume, cc": abs(second.volume + setup.pockets - program.readback.volume) / 1000,
        "cutters apart in gouge, mm": abs(second.gouge - program.readback.gouge),
        "cutters apart in stock left, mm": abs(second.stock_left - program.readback.stock_left),
        "skim bite over the depth of cut, mm": second.skim_bite - recut.job.cutting.skim_depth_of_cut,
        "dish bite over the depth of cut, mm": second.dish_bite - recut.job.cutting.dish_depth_of_cut,
        "least X of the centre, mm, negated": -second.least_x,
        "lines of a program": float(program.text.count("\n")),
        "table gouge, mm": by_hand.readback.gouge,
    }
    return Verdict(name, (), tuple(faults), figures)


def second_of(recut: Recut, program: Made, setup: Wanted) -> Opinion:
    """The second cutter's view of a program."""
    shift = shift_of(setup.control_point, setup.insert_radius)
    steps = list(steps_of(program.text, on_diameter=setup.x_reading == "diameter", shift=shift))
    holder = recut.job.holder
    return opinion(steps, setup, None if holder is None else outline(holder, setup.insert_radius))


def _program_faults(recut: Recut, back: Readback, second: Opinion) -> list[str]:
    cut = recut.job.cutting
    faults = [f"readback: {f.what} {f.value}" for f in stops(back.findings)][:3]
    if second.gouge > GOUGE + 1e-4:
        faults.append(f"second cutter: gouge {second.gouge:.5f} mm")
    if second.contacts:
        faults.append(f"second cutter: rapid in metal at lines {second.contacts[:5]}")
    if second.least_x < -1e-6:
        faults.append(f"second cutter: centre at X {second.least_x:.6f} mm")
    if second.holder:
        faults.append(f"second cutter: the holder is in metal at lines {second.holder[:5]}")
    for what, bite, most, line in (
        ("skim", second.skim_bite, cut.skim_depth_of_cut, second.bitten[0]),
        # what stands over the crown inside an old dish is roughed by the dish's depth of cut
        ("dish", second.dish_bite, cut.dish_depth_of_cut, second.bitten[1]),
    ):
        if bite > most + SPARE:
            faults.append(
                f"second cutter: line {line} takes {bite:.4f} mm, {what} depth of cut {most:.4f} mm"
            )
    return faults


def _table_faults(by_hand: ByHand, recut: Recut) -> list[str]:
    faults = [f"table: {f.what} {f.value}" for f in stops(by_hand.readback.findings)][:3]
    if by_hand.readback.gouge > GOUGE:
        faults.append(f"table: gouge {by_hand.readback.gouge:.5f} mm")
    return faults

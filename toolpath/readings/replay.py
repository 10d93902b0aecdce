"""A piston's log, taken in the order in which it was made: from its entries to where it stands.

Made is not cut: a cut that was made counts once a reading follows it, and is then built from the facts that were
logged, never from today's job. A reading without a made line takes the job as it is.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import reduce

from toolpath.errors import InputError
from toolpath.findings import Finding, attempt
from toolpath.forms.sections import mouth_radius
from toolpath.geometry.chain import Chain, deeper
from toolpath.profile.design import Design
from toolpath.readings.depths import first_depth, last_depth
from toolpath.readings.facts import CutFacts
from toolpath.readings.log import CutAfter, Entry, MadeCut, Reading
from toolpath.readings.sensitivity import Model
from toolpath.readings.standing import Known, Standing, Stood, old_of, read_volume, started
from toolpath.uncertainty.stages import Progress

SAME_CUT = 1e-5  # mm; readings after cuts nearer than this are of one cut


def standing(design: Design, history: Sequence[Entry], known: Known | None = None) -> Standing:
    """Take one piston's log in the order in which it was made.

    The sections are worked out at the old dish that the readings tell: two rounds settle an uneven bowl.

    Raises:
        InputError: the readings make no dish.
    """
    found = attempt(lambda: _settled(design, history, known or Known()))
    if isinstance(found, Finding):
        raise InputError(
            f"the readings of this piston make no dish ({found.what}); withdraw the wrong one "
            "with dishpath reading --undo"
        )
    return found


def _settled(design: Design, history: Sequence[Entry], known: Known) -> Standing:
    design = _as_cut(design, history)
    old, u = old_of(started(design, history, known))
    cuts = any(isinstance(e, Reading) and e.after != "as-received" for e in history)
    for _ in range(2 if cuts else 1):
        now = _replayed(Model(design, old), history, u, known)
        old, u = old_of(now.progress)
    return now


def _as_cut(design: Design, history: Sequence[Entry]) -> Design:
    """The design with the skim that was really cut, where a cut was read after its make."""
    read = cuts_read(history)
    return replace(design, skim=read[0].facts.skim) if read else design


def cuts_read(history: Iterable[Entry]) -> tuple[MadeCut, ...]:
    """The logged cuts that a reading followed, in order: made is not cut until then."""
    waiting: list[MadeCut] = []
    read: list[MadeCut] = []
    for entry in history:
        if isinstance(entry, MadeCut):
            waiting.append(entry)
        elif isinstance(entry, Reading) and entry.cut is not None and entry.method != "zero":
            made = _made_before(waiting, entry.mark, entry.cut)
            read += () if made is None else (made,)
            waiting = []
    return tuple(read)


def _made_before(waiting: Sequence[MadeCut], mark: str, after: CutAfter) -> MadeCut | None:
    """The make that a reading follows: of its stage that of the mark it names, else the latest."""
    found = [made for made in waiting if (made.facts.stage == "first") == (after == "first")]
    return next((m for m in reversed(found) if m.mark == mark), found[-1] if found else None)


def _replayed(model: Model, history: Sequence[Entry], u_old: float, known: Known) -> Standing:
    now = Standing(started(model.design, history, known), model)
    for entry in history:
        if isinstance(entry, MadeCut):
            now = now._replace(waiting=(*now.waiting, entry))
        elif isinstance(entry, Reading):
            now = _after_reading(now, entry, u_old)
    return now


def _after_reading(now: Standing, reading: Reading, u_old: float) -> Standing:
    if reading.after == "as-received" or reading.method == "zero":
        return now
    if reading.cut is None:
        progress = now.progress.skimmed(now.model.skimmed_form())
        now = now._replace(progress=progress, skim_read=True)
    else:
        stood = cut_of(now, reading, reading.cut)
        if stood is not None:
            now = with_cut(now, stood, u_old)
        now = now._replace(waiting=(), latest=reading)
    return now._replace(progress=_read(now, reading))


def cut_of(now: Standing, reading: Reading, after: CutAfter) -> Stood | None:
    """The cut that a reading follows; None where it repeats the reading of the cut before.

    Raises:
        Stopped: nothing was made, and the job as it is leaves nothing to cut.
    """
    made = _made_before(now.waiting, reading.mark, after)
    if made is not None:
        return Stood(section_of(now.model, made.facts), made.facts, made.mark)
    if reading.cut_depth is not None:
        if now.cuts and abs(reading.cut_depth - now.cut_depth) <= SAME_CUT:
            return None
        return Stood(now.model.deep(reading.cut_depth).cut, None)
    if now.latest is not None and now.latest.after == after:
        return None
    return Stood(now.model.deep(_unlogged_depth(now, after)).cut, None)


def _unlogged_depth(now: Standing, after: CutAfter) -> float:
    """Depth (mm) of a cut of which only a reading is known: that which the job, as it is, would make."""
    found = attempt(lambda: first_depth(now) if after == "first" else last_depth(now))
    if isinstance(found, Finding):
        return now.cut_depth or now.model.depth_for(now.model.design.target)
    return found


def section_of(model: Model, facts: CutFacts) -> Chain:
    """The section that a logged cut left over the finished crown."""
    if facts.section is not None:
        return facts.section
    return replace(model.at_old(), shape=facts.shape).cut


def with_cut(now: Standing, stood: Stood, u_old: float) -> Standing:
    """The same after a further cut."""
    zero = stood.facts.zero if stood.facts is not None else now.zero
    progress = now.progress.cut(now.model.cut_form(stood.section, u_old), zero)
    cuts = (*now.cuts, stood)
    both = reduce(deeper, (cut.section for cut in cuts))
    return now._replace(progress=progress, cuts=cuts, model=replace(now.model, stands=both))


def _read(now: Standing, reading: Reading) -> Progress:
    progress = now.progress
    volume = read_volume(now.model.design, reading)
    if volume is not None:
        return progress.read_volume(volume)
    if reading.method == "depth":
        return progress.read_depth(reading.value)
    if reading.method == "mouth":
        if progress.cuts and mouth_radius(now.model.at_old().skimmed) >= progress.form.mouth / 2:
            return progress  # the mouth is still the old dish's, which no cut has touched
        return progress.read_mouth(reading.value)
    return progress  # a mass or a height says nothing of the dish alone

"""One piston's reading, judged against what its cut should have left before it is stored, whatever the instrument."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal, NamedTuple

from toolpath.errors import InputError
from toolpath.findings import Finding, attempt
from toolpath.profile.design import Design
from toolpath.readings.log import After, CutAfter, Entry, MadeCut, Method, Reading, readings_in
from toolpath.readings.replay import cut_of, standing, with_cut
from toolpath.readings.standing import Known, Standing, over_crown, started
from toolpath.reference import table
from toolpath.uncertainty.estimate import Gradient
from toolpath.uncertainty.stages import Progress
from toolpath.units import MM3_PER_CC, cc

DOUBT, REFUSED = 2.0, 4.0  # standard uncertainties from the prediction
CLOSEST: dict[Method, float] = {  # never refused nearer than this: mm3, mm, g
    "burette": 0.15 * MM3_PER_CC,
    "depth": 0.04,
    "mouth": 0.2,
    "mass": 0.3,
    "height": 0.05,
    "zero": 0.3,
}
MASS_SHARE = 0.03  # of what was taken off, besides
AS_RECEIVED_SHARE, AS_RECEIVED_LEAST = (
    0.1,
    0.5 * MM3_PER_CC,
)  # as received: of what is stated, and at least, mm3
BACKWARD = 3.0  # standard uncertainties by which a dish may seem to have become smaller
UNIT: dict[Method, str] = {
    "burette": "cc",
    "mass": "g",
    "depth": "mm",
    "mouth": "mm",
    "height": "mm",
    "zero": "mm",
}
SLIPS: dict[Method, str] = {
    "burette": "look for a slip of the finger, the wrong piston number, a bubble, a leak or a missed cut",
    "depth": "look for a slip of the finger, the wrong piston, or a micrometer that stood in the corner, on the pip "
    "or on the old dish",
    "mouth": "look for a slip of the finger, the wrong piston, or a calliper aslant",
    "mass": "look for a slip of the finger, the wrong piston, oil, or a pin or ring left in it",
    "height": "look for a slip of the finger, the wrong piston, or the wrong place touched",
    "zero": "look for a slip of the finger, or a scale that was set anew",
}


class Expectation(NamedTuple):
    """What an instrument should show: `value` and its standard uncertainty in mm3, mm or g."""

    value: float
    u: float
    least: float  # a reading nearer than this to the value is never refused


class Judgement(NamedTuple):
    """A reading ready to be stored, and what is to be said of it."""

    reading: Reading  # with the cut that it measured
    verdict: Literal["plausible", "doubtful", "refused"]
    why: str = ""


def default_after(history: Sequence[Entry]) -> After:
    """What a reading follows when nothing is said: the cut last made, as received before any."""
    after: After = "as-received"
    for entry in history:
        if isinstance(entry, MadeCut):
            after = "first" if entry.facts.stage == "first" else "last"
        elif isinstance(entry, Reading) and entry.after in ("first", "last"):
            after = entry.after
    return after


def judged(
    design: Design,
    history: Sequence[Entry],
    reading: Reading,
    known: Known | None = None,
    zeros: Sequence[float] = (),
) -> Judgement:
    """Judge one reading; `zeros` (mm) are the noted zeros of the other pistons.

    Raises:
        InputError: such a reading cannot be taken there, or it does not say which of several makes was cut.
    """
    _refuse_misplaced(reading, design)
    now = standing(design, history, known)
    if reading.cut is not None and reading.method != "zero":
        reading = _of_cut(now, reading, reading.cut)
    predicted = prediction(design, now, history, reading, known, zeros)
    value, unit = reading.value, UNIT[reading.method]
    scale = MM3_PER_CC if reading.method == "burette" else 1.0
    if value <= 0 and reading.method != "zero":
        return Judgement(
            reading, "refused", f"{value / scale:g} {unit} cannot be; a reading is a number above 0"
        )
    grown = _grown_back(now, reading)
    if grown is not None:
        return Judgement(reading, "refused", grown)
    if predicted is None:
        return Judgement(reading, "plausible")
    off = abs(value - predicted.value)
    right = (
        f"{predicted.value / scale:.3f} {unit} +- {2 * predicted.u / scale:.2g} {unit} (k = 2) is expected"
    )
    limit = predicted.least if reading.after == "as-received" else max(REFUSED * predicted.u, predicted.least)
    if off > limit:
        return Judgement(reading, "refused", f"{right}; {SLIPS[reading.method]}")
    if off > DOUBT * predicted.u and not _settled(history, reading):
        again = "seal and read again" if reading.method == "burette" else "read again"
        return Judgement(reading, "doubtful", f"{right}: {again}; a repeat close to this one settles it")
    return Judgement(reading, "plausible")


def expectation(
    design: Design,
    history: Sequence[Entry],
    method: Method,
    after: After,
    known: Known,
    zeros: Sequence[float] = (),
) -> str | None:
    """What an instrument should show, in words; None where nothing is known that could tell."""
    probe = Reading(history[0].piston if history else 1, after, method, 1.0)
    now = standing(design, history, known)
    found = prediction(design, now, history, probe, known, zeros)
    if found is None:
        return None
    scale = MM3_PER_CC if method == "burette" else 1.0
    return f"{found.value / scale:.2f} +- {max(2 * found.u, 0.005) / scale:.2g} {UNIT[method]}"


def _refuse_misplaced(reading: Reading, design: Design) -> None:
    if reading.method == "burette" and reading.cut is not None and design.received.job.burette is None:
        raise InputError("a volume was read but no burette is stated; add [burette] to the job")
    if reading.method in ("depth", "mouth") and reading.after in ("as-received", "skim"):
        raise InputError(
            f"a {reading.method} is read on the new cut, not {reading.after.replace('-', ' ')}; "
            "read it after the first or the last cut"
        )


def _of_cut(now: Standing, reading: Reading, after: CutAfter) -> Reading:
    """The reading with the depth and mark of the cut that it measured."""
    waiting = [m for m in now.waiting if (m.facts.stage == "first") == (after == "first")]
    marks = list(dict.fromkeys(m.mark for m in waiting))
    if reading.mark and reading.mark not in marks:
        known = ", ".join(marks) or "none"
        raise InputError(f"--mark {reading.mark}: no such cut waits for a reading; those that wait: {known}")
    if len(marks) > 1 and not reading.mark:
        told = ", ".join(
            f"{m.mark} ({m.facts.shape.depth or 0.0:.3f} mm deep)"
            for m in {m.mark: m for m in waiting}.values()
        )
        raise InputError(
            f"this cut was made more than once, with different marks: {told}; say with --mark which was cut"
        )
    other = next((m for m in now.waiting if m not in waiting), None)
    if other is not None and not waiting:
        stage = other.facts.stage
        raise InputError(
            f"the {stage} cut of this piston was made and waits for its reading; give --after "
            f"{'first' if stage == 'first' else 'last'}, or withdraw that make with --undo"
        )
    found = attempt(lambda: cut_of(now, reading, after))
    if isinstance(found, Finding):
        raise InputError(f"no cut can be told from the log ({found.what}); make it with --piston first")
    depth = now.cut_depth if found is None else found.depth
    mark = "" if found is None else found.mark
    return replace(reading, cut_depth=depth, mark=mark)


def prediction(
    design: Design,
    now: Standing,
    history: Sequence[Entry],
    reading: Reading,
    known: Known | None,
    zeros: Sequence[float] = (),
) -> Expectation | None:
    """What the instrument should show; None where nothing is known that could tell."""
    if reading.method == "zero":
        if not zeros:
            return None
        return Expectation(sum(zeros) / len(zeros), CLOSEST["zero"] / REFUSED, CLOSEST["zero"])
    if reading.method == "mass":
        return _mass(now, history, reading, None if known is None else known.mass)
    if reading.method == "height":
        return None
    if reading.after == "as-received":
        return _as_received(design, history, known)
    after = reading.cut
    if after is None:
        progress = now.progress.skimmed(now.model.skimmed_form())
        return _volume(progress, over_crown(now.model.design, "skim"))
    found = attempt(lambda: cut_of(now, reading, after))
    progress = now.progress
    if not isinstance(found, Finding) and found is not None:
        progress = with_cut(now, found, now.old_u).progress
    if reading.method == "depth":
        return _length(progress, progress.depth_error, progress.form.depth, "depth")
    if reading.method == "mouth":
        gradient = {name: progress.form.mouth_z * c for name, c in progress.depth_error.items()}
        gradient |= {"x touch": 2.0, "insert radius": progress.form.mouth_insert}
        return _length(progress, gradient, progress.form.mouth, "mouth")
    return _volume(progress, over_crown(now.model.design, reading.after))


def _as_received(design: Design, history: Sequence[Entry], known: Known | None) -> Expectation:
    stated = design.as_received_seen
    above = over_crown(design, "as-received")
    bare = [e for e in history if not (isinstance(e, Reading) and e.after == "as-received")]
    found = _volume(started(design, bare, known or Known()), above)
    least = max(AS_RECEIVED_SHARE * (stated + above), AS_RECEIVED_LEAST)
    return Expectation(stated + above, found.u, least)


def _volume(progress: Progress, above: float) -> Expectation:
    progress = progress.as_it_stands()
    gradient = progress.volume_gradient()
    scale = 0.0
    if progress.burette is not None:
        gradient = {**gradient, "burette": 1.0}
        scale = progress.burette.scale_reading(progress.readings + 1).u
    found = progress.state.predict(gradient, progress.form.volume)
    return Expectation(float(found.mean) + above, math.hypot(float(found.u), scale), CLOSEST["burette"])


def _length(
    progress: Progress, gradient: Gradient, nominal: float, method: Literal["depth", "mouth"]
) -> Expectation:
    found = progress.state.predict(gradient, nominal)
    noise = getattr(progress.setup, f"{method}_reading")
    return Expectation(float(found.mean), math.hypot(float(found.u), noise), CLOSEST[method])


def _mass(
    now: Standing, history: Sequence[Entry], reading: Reading, stated: float | None
) -> Expectation | None:
    """Mass before less the metal taken off."""
    weighed = [e.value for e in readings_in(history) if (e.method, e.after) == ("mass", "as-received")]
    before = weighed[-1] if weighed else stated
    if before is None or reading.after == "as-received":
        return None
    cut, after = None, reading.cut
    if after is not None:
        found = attempt(lambda: cut_of(now, reading, after))
        cut = None if found is None or isinstance(found, Finding) else found.section
    density = float(table("materials")[now.model.design.received.job.piston.material]["density"])
    grams = cc(now.model.removed(cut)) * density
    least = CLOSEST["mass"] + MASS_SHARE * grams
    return Expectation(before - grams, least / REFUSED, least)


def _grown_back(now: Standing, reading: Reading) -> str | None:
    """Why a volume cannot be, where it is smaller than one that was read before the cut."""
    burette = now.progress.burette
    if reading.method != "burette" or burette is None or reading.after not in ("first", "last"):
        return None
    latest = now.latest
    if latest is None or latest.volume is None or not now.waiting:
        return None
    u = burette.scale_reading(1).u
    if reading.value >= latest.volume - BACKWARD * math.sqrt(2.0) * u:
        return None
    return (
        f"{cc(reading.value):g} cc is less than the {cc(latest.volume):.4g} cc before the cut, and metal does "
        "not grow back; look for a bubble, a leak or the wrong piston number"
    )


def _settled(history: Sequence[Entry], reading: Reading) -> bool:
    """Whether the same was read before, within two graduations of a common burette or a hair of length."""
    near = {"burette": 0.2 * MM3_PER_CC}.get(reading.method, 0.04)
    return any(
        isinstance(e, Reading)
        and (e.after, e.method) == (reading.after, reading.method)
        and e.mark == reading.mark
        and abs(e.value - reading.value) <= near
        for e in history
    )

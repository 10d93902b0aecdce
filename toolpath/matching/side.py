"""Whether the burette reads to one side: first-cut readings against what each was expected to show."""

from collections.abc import Iterator

from toolpath.matching.summary import Pistons, known_of
from toolpath.readings.burette import burette_of
from toolpath.readings.log import Log, Reading
from toolpath.readings.replay import standing
from toolpath.readings.standing import read_volume
from toolpath.units import cc

FROM = 3  # pistons with a first cut read from which a run on one side is told
MOST = 8  # pistons looked at: on one side by chance once in 128, and a set of a thousand must answer too


def surprises(pistons: Pistons, log: Log) -> Iterator[float]:
    """Reading less prediction of every first cut that was read, mm3."""
    for number in range(1, min(pistons.job.piston.count, MOST) + 1):
        history = log.history(number)
        read = next(
            (e for e in history if isinstance(e, Reading) and (e.after, e.method) == ("first", "burette")),
            None,
        )
        if read is None:
            continue
        design = pistons.design(number)
        now = standing(design, [e for e in history if e.number <= read.number], known_of(design, log, number))
        volume = read_volume(now.model.design, read)
        # what was expected before the reading: the nominal section, with the old dish as received tells it
        expected = now.progress.form.volume + float(now.progress.form.answers.old) * _old_before(
            pistons, log, number
        )
        if volume is not None:
            yield volume - float(expected)


def _old_before(pistons: Pistons, log: Log, number: int) -> float:
    design = pistons.design(number)
    received = [e for e in log.history(number) if isinstance(e, Reading) and e.after == "as-received"]
    return standing(design, received, known_of(design, log, number)).old


def one_sided(pistons: Pistons, log: Log) -> str | None:
    """What to say when every first-cut reading lies on the same side of its prediction, from the third on."""
    if pistons.job.burette is None:
        return None
    found: list[float] = []
    for off in surprises(pistons, log):
        found.append(off)
        if off * found[0] <= 0:
            return None  # both sides: no further piston need be worked out
    if len(found) < FROM:
        return None
    mean = sum(found) / len(found)
    burette = burette_of(pistons.job, pistons.design(1).target)
    if abs(mean) <= burette.fills * burette.largest_error:
        return None  # within its class
    side = "more" if mean > 0 else "less"
    return (
        f"all {len(found)} first cuts read {side} than expected, by {cc(abs(mean)):.2f} cc on the mean: "
        "look at burette, plate and touch-off before the next cut"
    )

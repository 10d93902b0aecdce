"""Commands on what was measured: reading, pistons."""

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from toolpath.api import load_job
from toolpath.cli.opening import as_json_text, number_of
from toolpath.cli.options import PATH
from toolpath.cli.work import Opened, log_of, several
from toolpath.errors import InputError, StopError
from toolpath.units import MM3_PER_CC

if TYPE_CHECKING:
    from toolpath.matching.judge import Judgement
    from toolpath.readings.log import After, Method, Reading
    from toolpath.units import Units

INSTRUMENTS: dict[str, "Method"] = {
    "depth": "depth",
    "mouth": "mouth",
    "mass": "mass",
    "height": "height",
    "zero": "zero",
}


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("job", type=PATH)
@click.argument("values", nargs=-1, metavar="[N=CC]...", type=click.UNPROCESSED)
@click.option("--piston", metavar="N", help="The piston, for one value without N=.")
@click.option("--after", type=click.Choice(("as-received", "skim", "first", "last")))
@click.option("--depth", metavar="N=MM", help="Depth micrometer: finished crown to the floor.")
@click.option("--mouth", metavar="N=MM", help="Mouth diameter, over the lip break.")
@click.option("--mass", metavar="N=G", help="Mass of the bare, dry piston.")
@click.option("--height", metavar="N=MM", help="Pin centre to finished crown.")
@click.option("--zero", metavar="N=MM", help="The scale's absolute value of this piston's zero.")
@click.option("--mark", default="", help="Which make was cut, where it was made more than once.")
@click.option("--sure", is_flag=True, help="Store a reading that looks impossible.")
@click.option("--note", default="", help="A remark that stays with the reading.")
@click.option("--undo", is_flag=True, help="Withdraw the latest reading, or unread make, of this piston.")
@click.option("--shop", type=PATH, help="Shop file; shop.toml beside the job by default.")
def reading(
    job: Path,
    values: tuple[str, ...],
    piston: str | None,
    after: "After | None",
    mark: str,
    sure: bool,
    note: str,
    undo: bool,
    shop: Path | None,
    **instruments: str | None,
) -> None:
    """Store readings: burette (cc), or a length or mass by its own option; all or none.

    Example: dishpath reading pump.toml 1=8.9 2=9.2 3=9.45
    """
    from toolpath.readings.log import append_all, beside
    from toolpath.units import sentence_in

    work = Opened(job, load_job(job, shop=shop), log_of(job))
    count = work.job.piston.count
    given = [name for name, value in instruments.items() if value is not None]
    if len(given) > 1:
        raise InputError(f"--{given[0]} and --{given[1]}: one instrument at a time")
    method: Method = INSTRUMENTS[given[0]] if given else "burette"
    words = [*(instruments[name] or "" for name in given), *values]
    if undo:
        _undo(work, piston, words, note)
        return
    if not words and sys.stdin.isatty() and sys.stdout.isatty():
        from toolpath.cli.asked import asked

        _say_stored(append_all(beside(job), list(asked(work))), beside(job).name, work.job.units)
        return
    pairs = list(_pairs(words, piston, count, f"--{given[0]}" if given else "CC"))
    judged = [judge_one(work, n, method, text, after, mark.upper(), note) for n, text in pairs]
    refused = [
        f"piston {j.reading.piston} after {j.reading.after}: "
        + sentence_in(f"{j.reading.shown:g} {_unit(method)}: {j.why}", work.job.units)
        + "; give --sure to store it all the same"
        for j in judged
        if j.verdict == "refused" and not sure
    ]
    if refused:
        raise InputError(*refused)
    _say_stored(append_all(beside(job), [j.reading for j in judged]), beside(job).name, work.job.units)
    for j in judged:
        if j.verdict == "doubtful":
            why = sentence_in(j.why, work.job.units)
            click.echo(f"piston {j.reading.piston}: warning: {why}", err=True)


def _say_stored(stored: "Sequence[Reading]", name: str, units: "Units") -> None:
    from toolpath.units import sentence_in

    if len(stored) > 1 and len({(r.after, r.method) for r in stored}) == 1:
        first, last = stored[0], stored[-1]
        unit = _unit(first.method)
        shown = ", ".join(f"{r.piston}: {r.shown:g} {unit}" for r in stored)
        text = f"after {first.after}: {shown}; stored as readings {first.number} to {last.number} in {name}"
        click.echo(sentence_in(text, units))
        return
    for kept in stored:
        value = sentence_in(f"{kept.shown:g} {_unit(kept.method)}", units)
        click.echo(
            f"piston {kept.piston} after {kept.after}: {value} stored as reading {kept.number} in {name}"
        )


def _unit(method: "Method") -> str:
    from toolpath.readings.log import UNITS

    return UNITS[method]


def _pairs(words: Sequence[str], piston: str | None, count: int, name: str) -> Iterator[tuple[int, str]]:
    """Piston and value of every reading that the command line gives.

    Raises:
        InputError: a value or its piston is missing, or a piston is named twice.
    """
    if not words:
        raise InputError("no reading is given; write it like 1=11.42, or --piston 1 11.42")
    dashed = next((w for w in words if w.startswith("--")), None)
    if dashed is not None:
        raise InputError(f"{dashed}: stands where a value should; write readings like 1=11.42")
    if piston is not None or (count == 1 and "=" not in words[0]):
        if len(words) > 1 or "=" in words[0]:
            raise InputError("--piston N takes one value without N=; for several write 1=11.42 2=11.40")
        yield several(piston or "1", count)[0], words[0]
        return
    seen: set[int] = set()
    for word in words:
        who, equals, value = word.partition("=")
        if not equals or not who.strip().isdecimal():
            raise InputError(
                f"{name} {word}: for which piston? write it like 1={word.lstrip('=') or '11.42'}"
            )
        number = several(str(int(who)), count)[0]
        if number in seen:
            raise InputError(f"{word}: piston {number} is named twice")
        seen.add(number)
        yield number, value


def judge_one(
    work: Opened,
    piston: int,
    method: "Method",
    text: str,
    after: "After | None" = None,
    mark: str = "",
    note: str = "",
) -> "Judgement":
    """One reading as it was typed, judged against what is expected."""
    from toolpath.matching.judge import default_after, judged
    from toolpath.matching.summary import known_of
    from toolpath.readings.log import Reading

    design = work.design(piston)
    history = work.history(piston)
    value = Reading(
        piston,
        after or default_after(history),
        method,
        _value(text, method, work.job.units),
        mark=mark,
        note=note,
    )
    zeros = [r.value for r in work.log.readings if r.method == "zero" and r.piston != piston]
    try:
        return judged(
            design, history, value, known_of(design, work.log, piston, work.job.mass_of(piston)), zeros
        )
    except InputError as error:
        raise InputError(*(f"piston {piston}: {fault}" for fault in error.faults)) from error


def _value(text: str, method: "Method", units: "Units") -> float:
    """A value in mm3, g or mm; a length may carry its own unit."""
    from toolpath.units import length_in

    if method == "burette":
        return number_of(text, "CC") * MM3_PER_CC
    if method == "mass":
        return number_of(text, "--mass")
    return length_in(text, units)


def _undo(work: Opened, piston: str | None, words: Sequence[str], note: str) -> None:
    from toolpath.readings.log import MadeCut, Reading, beside, undo

    if words:
        raise InputError(f"--undo: takes no {words[0]}; it withdraws the latest reading")
    if piston is None and work.job.piston.count > 1:
        raise InputError("--undo: needs --piston N")
    number = several(piston or "1", work.job.piston.count)[0]
    gone = undo(beside(work.path), number, note)
    place = beside(work.path).name
    if isinstance(gone, Reading):
        click.echo(f"piston {number}: withdrawn {gone.shown:g} after {gone.after}; the line stays in {place}")
        for made in work.history(number):
            if isinstance(made, MadeCut) and made.number > gone.number:
                click.echo(f"{made.file}: was made from that reading; do not cut it", err=True)
    elif isinstance(gone, MadeCut):
        click.echo(f"piston {number}: withdrawn the make of {gone.file}; the line stays in {place}")


@click.command()
@click.argument("job", type=PATH)
@click.option("--json", "as_json", is_flag=True, help="As JSON on standard output.")
@click.option("--record", type=PATH, help="Write the customer's record, a PDF.")
@click.option("--take-common", is_flag=True, help="Take the common target that is offered.")
@click.option("--shop", type=PATH, help="Shop file; shop.toml beside the job by default.")
def pistons(job: Path, as_json: bool, record: Path | None, take_common: bool, shop: Path | None) -> None:
    """The screen of a set: what was read, what is due, the spread, and the command to type next.

    Example: dishpath pistons pump.toml --record pump-record.pdf
    """
    from toolpath.matching.side import one_sided
    from toolpath.matching.summary import Pistons, set_summary
    from toolpath.output.set import set_keys, set_text

    work = Opened(job, load_job(job, shop=shop), log_of(job))
    if take_common:
        _take_common(work)
        work = Opened(job, work.job, log_of(job))
    found = set_summary(work.job, work.log)
    keys = set_keys(found, work.design(1).target)
    if record is not None:
        _record(work, keys, record, quiet=as_json)
    told = one_sided(Pistons.of(work.job), work.log)
    click.echo(as_json_text(keys) if as_json else set_text(found, work.job, keys, str(job), told))


def _record(work: Opened, keys: "dict[str, Any]", place: Path, *, quiet: bool) -> None:
    from toolpath.matching.finished import finished
    from toolpath.output.disk import write_whole
    from toolpath.output.files import printed_names
    from toolpath.paper.letters import boxed
    from toolpath.paper.record import record_page
    from toolpath.recut import Refused, resolve

    recut = resolve(work.job_of(1))
    if isinstance(recut, Refused):
        raise StopError("\n".join(f.line(recut.job.units) for f in recut.findings))
    write_whole(place.parent, {place.name: record_page(recut, keys, finished(work.job, work.log))})
    written = (recut.job.record.customer, recut.job.record.engine)
    for line in (str(place), *boxed((*printed_names(recut.job), *written))):
        click.echo(line, err=quiet)


def _take_common(work: Opened) -> None:
    """Log the common target that the set can still meet, a line a piston, with its reason."""
    from toolpath.matching.summary import set_summary
    from toolpath.readings.log import Target, append_all, beside

    found = set_summary(work.job, work.log)
    if found.common is None:
        why = (
            f"look at the reading of piston {found.look_at[0]} first"
            if found.look_at
            else "no piston is over"
        )
        raise InputError(f"--take-common: there is no common target to take; {why}")
    over = [str(row.measured.piston) for row in found.rows if row.due.what == "over"]
    note = f"common target, piston {', '.join(over)} over"
    numbers = [row.measured.piston for row in found.rows]
    if found.common_target is not None:
        targets = [Target(n, found.common_target, "cc", note) for n in numbers]
    elif found.common_ratio is not None:
        targets = [Target(n, found.common_ratio, "ratio", note) for n in numbers]
    else:
        raise InputError(
            "--take-common: each piston has its own target, and without [engine] no ratio is known"
        )
    taken = append_all(beside(work.path), targets)
    unit = "cc" if taken[0].unit == "cc" else "to 1"
    click.echo(
        f"common target {taken[0].shown:.3f} {unit} taken for all {len(taken)} pistons: {note}", err=True
    )

"""Asking for readings on a terminal, piston by piston: what is due, where to put the instrument, what to expect."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from toolpath.cli.work import Opened
from toolpath.errors import InputError

if TYPE_CHECKING:
    from toolpath.readings.log import After, Method, Reading

WHERE: dict[str, str] = {
    "plate-on-crown": "plate across the crown, thin grease ring, no bubble",
    "down-the-bore": "down the bore, the piston at the stated depth below the deck",
}


def asked(work: Opened) -> "Iterator[Reading]":
    """The readings that a person gives; Enter skips, a doubtful value is asked back in place."""
    from toolpath.matching.judge import default_after

    for piston in range(1, work.job.piston.count + 1):
        history = work.history(piston)
        after = default_after(history)
        if work.job.burette is not None:
            yield from _one(work, piston, "burette", after)
        if work.job.mass_of(piston) is not None or any(c.mass is not None for c in work.job.cylinder):
            yield from _one(work, piston, "mass", after)
        if work.job.zero == "noted" and after != "last":
            yield from _one(work, piston, "zero", after)


def _one(work: Opened, piston: int, method: "Method", after: "After") -> "Iterator[Reading]":
    from toolpath.cli.readings import judge_one
    from toolpath.readings.log import UNITS
    from toolpath.units import sentence_in

    units = work.job.units
    unit = "in" if UNITS[method] == "mm" and units == "inch" else UNITS[method]
    words = {"burette": _where(work), "mass": "scale: bare, dry, clean", "zero": "scale's absolute zero"}[
        method
    ]
    again = ""
    while True:
        hint = work.expected(piston, method, after)
        expect = "" if hint is None else f", expect {sentence_in(hint, units)}"
        text = str(
            click.prompt(
                f"piston {piston}, {after.replace('-', ' ')}, {words}{expect} [{unit}, Enter skips]",
                default="",
                show_default=False,
            )
        ).strip()
        if not text:
            return
        if "," in text and "." not in text:
            text = text.replace(",", ".")
            click.echo(f"  taken as {text}")
        try:
            found = judge_one(work, piston, method, text, after)
        except InputError as error:
            click.echo(f"  {sentence_in(str(error), units)}")
            continue
        if found.verdict == "plausible" or text == again:
            yield found.reading
            return
        click.echo(f"  {sentence_in(found.why, units)}")
        click.echo("  type it once more to store it all the same, another value, or Enter to skip")
        again = text


def _where(work: Opened) -> str:
    method = "plate-on-crown" if work.job.burette is None else work.job.burette.method
    return WHERE[method]

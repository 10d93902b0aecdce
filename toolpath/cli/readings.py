"""Commands on what was measured: reading, set."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from toolpath.cli.opening import as_json_text, check_piston, number_of, read_job, readings_of
from toolpath.cli.options import PATH
from toolpath.errors import InputError

if TYPE_CHECKING:
    from toolpath.readings.log import After


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("job", type=PATH)
@click.argument("cc", required=False)
@click.option("--piston", type=click.IntRange(min=1), required=True)
@click.option("--after", type=click.Choice(("as-received", "skim", "first", "last")))
@click.option("--depth", help="Depth micrometer: finished crown to the floor, with or without its unit.")
@click.option("--mouth", help="Mouth diameter, with or without its unit.")
@click.option("--sure", is_flag=True, help="Store a reading that looks impossible.")
@click.option("--note", default="", help="A remark that stays with the reading.")
@click.option("--undo", is_flag=True, help="Withdraw the latest reading of this piston.")
@click.option("--shop", type=PATH, help="Shop file; shop.toml beside the job by default.")
def reading(
    job: Path,
    cc: str | None,
    piston: int,
    after: "After | None",
    depth: str | None,
    mouth: str | None,
    sure: bool,
    note: str,
    undo: bool,
    shop: Path | None,
) -> None:
    """Store a burette reading (cc) or a measured length of one piston.

    Example: dishpath reading pump.toml --piston 2 11.42
    """
    from toolpath.matching.judge import after_of, judged
    from toolpath.readings import log as store
    from toolpath.recut import Refused, resolve
    from toolpath.units import length_in

    stated = read_job(job, shop=shop)
    check_piston(stated, piston)
    place = store.beside(job)
    given = [
        name for name, value in (("CC", cc), ("--depth", depth), ("--mouth", mouth)) if value is not None
    ]
    if undo:
        if given:
            raise InputError(f"--undo: takes no {given[0]}; it withdraws the latest reading")
        gone = store.undo(place, piston, note)
        click.echo(
            f"piston {piston}: withdrawn {gone.shown:g} after {gone.after}; the line stays in {place.name}"
        )
        return
    if len(given) != 1:
        raise InputError("a reading is one of CC, --depth or --mouth; give one of them")
    before = readings_of(job)
    value = store.Reading(
        piston=piston,
        after=after or after_of(before, piston),
        volume=None if cc is None else number_of(cc, "CC") * 1000,
        depth=None if depth is None else length_in(depth, stated.units),
        mouth=None if mouth is None else length_in(mouth, stated.units),
        note=note,
    )
    recut = resolve(stated)
    if isinstance(recut, Refused):
        raise InputError(f"{job.name}: the job itself cannot be cut; see dishpath check")
    value, why = judged(recut.design, before.of(piston), value)
    if why is not None and not sure:
        raise InputError(f"piston {piston} after {value.after}: {why}; give --sure to store it all the same")
    kept = store.append(place, value)
    click.echo(
        f"piston {piston} after {kept.after}: {kept.shown:g} stored as reading {kept.number} in {place.name}"
    )


@click.command()
@click.argument("job", type=PATH)
@click.option("--json", "as_json", is_flag=True, help="As JSON on standard output.")
@click.option("--record", type=PATH, help="Write the customer's record, a PDF.")
@click.option("--shop", type=PATH, help="Shop file; shop.toml beside the job by default.")
def pistons(job: Path, as_json: bool, record: Path | None, shop: Path | None) -> None:
    """Every piston of the set: what was read, what to do next, the spread, a common target.

    Example: dishpath pistons pump.toml --record pump-record.pdf
    """
    from toolpath.errors import StopError
    from toolpath.findings import stops
    from toolpath.matching.summary import set_summary
    from toolpath.output.disk import write_whole
    from toolpath.output.set import set_keys, set_text
    from toolpath.recut import Refused, resolve

    recut = resolve(read_job(job, shop=shop))
    if isinstance(recut, Refused):
        raise StopError("\n".join(f.line() for f in stops(recut.findings)))
    keys = set_keys(set_summary(recut, readings_of(job)), recut.design.target)
    if record is not None:
        from toolpath.paper.record import record_page

        write_whole(record.parent, {record.name: record_page(recut, keys)})
        click.echo(str(record), err=as_json)
    click.echo(as_json_text(keys) if as_json else set_text(keys))

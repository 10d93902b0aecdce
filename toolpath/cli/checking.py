"""Check: what was, what will be and what to watch; writes nothing."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from toolpath.cli.opening import as_json_text
from toolpath.cli.options import PATH, Which, job_options
from toolpath.cli.work import Opened, one_piston, opened, several, stage_meant
from toolpath.errors import InputError

if TYPE_CHECKING:
    from toolpath.recut import Recut, Refused


@click.command()
@click.argument("job", type=PATH)
@click.option("--json", "as_json", is_flag=True, help="The report as JSON on standard output.")
@click.option("--all", "every", is_flag=True, help="Every note, also where that takes more than one screen.")
@job_options
def check(job: Path, as_json: bool, every: bool, which: Which) -> None:
    """Solve a job and say what was, what will be and what to watch; writes nothing.

    Example: dishpath check pump.toml --stage first --piston 2
    """
    work = opened(job, which)
    if which.piston is not None:
        pistons = several(which.piston, work.job.piston.count)
        if len(pistons) > 1:
            _check_several(work, pistons, which, as_json=as_json, every=every)
            return
    piston = one_piston(work, which)
    if piston is None and work.job.cylinder:
        _check_set(work, as_json)
        return
    recut = work.resolved(stage_meant(work, piston, which), piston)
    keys, text = _checked(recut, whole=as_json, every=every)
    click.echo(as_json_text(keys) if as_json else text)
    if _forbidden(keys):
        sys.exit(1)


def _check_set(work: Opened, as_json: bool) -> None:
    """The set whose pistons have figures of their own: a line each."""
    from toolpath.output.set_check import set_check_text
    from toolpath.recut import resolve

    found = [(n, resolve(work.job_of(n), piston=n)) for n in range(1, work.job.piston.count + 1)]
    if as_json:
        reports = [_checked(recut, whole=False, every=False)[0] for _, recut in found]
        click.echo(as_json_text({"schema": "dishpath-reports-1", "reports": reports}))
    else:
        click.echo(set_check_text(work.job, found))
    if any(recut.stopped for _, recut in found):
        sys.exit(1)


def _check_several(
    work: Opened, pistons: tuple[int, ...], which: Which, *, as_json: bool, every: bool
) -> None:
    reports, stopped = [], False
    for piston in pistons:
        try:
            recut = work.resolved(stage_meant(work, piston, which), piston)
        except InputError as error:
            click.echo(f"piston {piston} is left out: {error}", err=True)
            continue
        keys, text = _checked(recut, whole=as_json, every=every)
        stopped = stopped or _forbidden(keys)
        reports.append(keys)
        if not as_json:
            click.echo(f"PISTON {piston} OF {work.job.piston.count}\n{text}\n")
    if as_json:
        click.echo(as_json_text({"schema": "dishpath-reports-1", "reports": reports}))
    if not reports:
        sys.exit(2)
    if stopped:
        sys.exit(1)


def _forbidden(keys: dict[str, Any]) -> bool:
    """Whether a finding of a report forbids the program or the rows."""
    return any(found["severity"] == "refused" for found in keys["findings"])


def _checked(recut: "Recut | Refused", *, whole: bool, every: bool) -> tuple[dict[str, Any], str]:
    """The report of a recut or refusal as JSON keys, with its table where it is `whole`, and in words."""
    from toolpath.output.terminal import refusal, summary
    from toolpath.program.frames import HAND
    from toolpath.recut import Refused
    from toolpath.report.figures import refused_json
    from toolpath.report.made import report_of

    if isinstance(recut, Refused):
        keys = refused_json(recut.stage, recut.piston, recut.job.fingerprint, recut.findings)
        return keys, refusal(recut, every=every)
    by_hand = None
    if not recut.stopped and (whole or recut.job.machine.post == HAND):
        from toolpath.program.by_hand import table_of

        by_hand = table_of(recut)
    found = report_of(recut, by_hand)
    return found.as_json(), summary(recut, found, every=every)

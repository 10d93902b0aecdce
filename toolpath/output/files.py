"""What the commands write: names and contents of every file of a job."""

import codecs
import hashlib
import json
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from toolpath.errors import InputError, StopError
from toolpath.findings import stops
from toolpath.job.model import Job
from toolpath.output.disk import names_in, write_whole
from toolpath.output.terminal import after_make, told
from toolpath.program.by_hand import ByHand, rows_of_csv, table_of
from toolpath.program.frames import HAND, frame_of, writer_of
from toolpath.program.proof import setup_of
from toolpath.program.text import Made, least_lift, made
from toolpath.readback.verdict import Readback, readback, readback_rows
from toolpath.readings.facts import CutFacts
from toolpath.readings.log import MadeCut, append_made, withdraw
from toolpath.recut import Recut, Refused, Stage
from toolpath.report.figures import Report
from toolpath.report.made import readback_figures, report_of, report_with_program, report_with_table
from toolpath.units import Units

if TYPE_CHECKING:
    from toolpath.paper.style import Paper
    from toolpath.paper.subject import CutOnPaper
    from toolpath.screen.piece import Piece

Sheet = Literal["full", "card", "none"]
NOT_ALWAYS = (".nc", ".html", "-proving.nc", "-section.png", "-corner.png", "-sheet.pdf")  # endings of names
LEAST_LIFTED = 1e-3  # mm3 that a proving copy may seem to remove, for rounding


class Printing(NamedTuple):
    """What is put on paper: pictures at all, which sheet (None: full for whole, else the card), how."""

    pictures: bool = True
    sheet: Sheet | None = None
    rows: bool = False  # the table of a cut that has a program too
    paper: "Paper" = "a4"
    together: bool = False  # the cards of several pistons go into one file

    def kind(self, stage: Stage) -> Sheet:
        """The sheet of a stage."""
        if not self.pictures:
            return "none"
        return self.sheet or ("full" if stage == "whole" else "card")


class Done(NamedTuple):
    """Files by name, ready to be written, and what is to be said about them."""

    name: str  # that they begin with
    cuts: str  # the file that is cut by: the program, else the rows
    facts: CutFacts  # of what that file leaves
    files: dict[str, bytes]
    said: tuple[str, ...]
    report: Report
    card: "CutOnPaper | None" = None  # what goes into one file with the cards of others
    piece: "Piece | None" = None  # likewise into one page

    def older(self, folder: Path) -> list[Path]:
        """What an earlier run has left beside them: it belongs to another program."""
        ours = {f"{self.name}{ending}".casefold() for ending in NOT_ALWAYS}
        return [p for p in names_in(folder) if p.name.casefold() in ours and p.name not in self.files]


def cuttable(recut: Recut | Refused) -> Recut:
    """The recut, where nothing forbids it; StopError, a line a finding, where something does."""
    found = stops(recut.findings)
    if found or isinstance(recut, Refused):
        raise StopError("\n".join(f.line(recut.job.units) for f in found))
    return recut


def base_name(stem: str, stage: Stage, piston: int | None) -> str:
    """The name that all files of one cut begin with."""
    return stem + ("" if piston is None else f"-p{piston}") + ("" if stage == "whole" else f"-{stage}")


def made_line(recut: Recut, done: "Done") -> MadeCut:
    """What the log keeps of a cut whose files are done. Raises ValueError for a cut of no piston."""
    if recut.piston is None:
        raise ValueError("a cut of no piston has no log")
    file = done.cuts
    return MadeCut(recut.piston, done.facts, recut.mark, file, hashlib.sha256(done.files[file]).hexdigest())


def cards_name(stem: str, stage: Stage) -> str:
    """The file with the cards of several pistons."""
    return f"{stem}-{stage}-cards.pdf"


def round_of(stem: str, done: Sequence[Done], printing: Printing) -> dict[str, bytes]:
    """The cards and the page of several pistons, a file of each a stage."""
    from toolpath.screen.page import page

    pieces: dict[Stage, list[Piece]] = {}
    for one in done:
        if one.piece is not None:
            pieces.setdefault(one.facts.stage, []).append(one.piece)
    pages = {f"{stem}-{stage}.html": page(found).encode() for stage, found in pieces.items()}
    return cards_of(stem, done, printing) | pages


def cards_of(stem: str, done: Iterable[Done], printing: Printing) -> dict[str, bytes]:
    """The cards of several pistons, a file a stage."""
    by_stage: dict[Stage, list[CutOnPaper]] = {}
    for one in done:
        if one.card is not None:
            by_stage.setdefault(one.card.recut.stage, []).append(one.card)
    if not by_stage:
        return {}
    from toolpath.paper.pages import cards_pdf

    return {
        cards_name(stem, stage): cards_pdf(cuts, printing.paper, rows=printing.rows)
        for stage, cuts in by_stage.items()
    }


def put_down(recut: Recut, done: "Done", folder: Path, log: Path | None, last: int) -> int:
    """Note the cut of a piston in its log, then put its files in place; a make without files is withdrawn.

    `last` is the number of the log's last line as it was read; gives that of the line now.
    """
    if recut.piston is None or log is None:
        write_whole(folder, done.files)
        return last
    noted = append_made(log, made_line(recut, done), last)
    try:
        write_whole(folder, done.files)
    except BaseException:
        if noted.number > last:
            withdraw(log, noted, "its files could not be written")
        raise
    return max(last, noted.number)


def files_of(
    recut: Recut, name: str, *, proving: float | None, job_file: str, printing: Printing | None = None
) -> Done:
    """Program, table, page, pictures and report of a recut, all made and checked.

    `proving` is the lift of a proving copy in mm, negative for the least that is safe; `job_file` is the
    name that commands on the page say.

    Raises:
        StopError: the readback fails.
        InputError: the lift of the proving copy is too small.
    """
    printing = printing or Printing()
    by_hand = checked_table(recut, f"{name}-dro.csv")
    ending = writer_of(recut).EXTENSION
    program: Made | None = None
    files: dict[str, bytes] = {}
    if recut.job.machine.post != HAND:
        program = made(recut)
        _stop_unless(program.readback, f"{name}{ending}", recut.job.units)
        if proving is not None:
            files[f"{name}-proving{ending}"] = _proving(recut, proving, f"{name}-proving{ending}").encode(
                "ascii"
            )
        files[f"{name}{ending}"] = program.text.encode("ascii")
    elif proving is not None:
        raise InputError('--proving: post = "dro-table" makes no program; prove the first rows by hand')
    files[f"{name}-dro.txt"] = by_hand.text.encode("ascii")
    files[f"{name}-dro.csv"] = by_hand.csv.encode("ascii")
    if program is None:
        found, back = report_with_table(recut, by_hand), by_hand.readback
    else:
        found = report_with_program(recut, program, f"{in_letters(name)}{ending}", by_hand)
        back = program.readback
    letters: tuple[str, ...] = ()
    card, piece = None, None
    if printing.pictures:
        from toolpath.paper.letters import boxed  # matplotlib is loaded only when a picture is wanted
        from toolpath.paper.pages import pictures, sheet_pdf
        from toolpath.paper.subject import CutOnPaper
        from toolpath.screen.page import page
        from toolpath.screen.piece import piece_of

        letters = boxed((*printed_names(recut.job), name))
        cut, kind = CutOnPaper(recut, found, by_hand, name), printing.kind(recut.stage)
        files |= pictures(cut, printing.paper)
        if kind == "card" and printing.together:
            card = cut
        elif kind != "none":
            files[f"{name}-sheet.pdf"] = sheet_pdf(cut, kind, printing.paper, rows=printing.rows)
        keys, text = found.as_json(), None if program is None else program.text
        file = None if found.program is None else found.program.file
        piece = piece_of(recut, keys, by_hand, text, file=file, job_file=job_file)
        if not printing.together:
            files[f"{name}.html"] = page([piece]).encode()
    files[f"{name}-report.json"] = as_json(found.as_json()).encode()
    warnings = (told(f, recut.job.units) for f in recut.findings if f.severity == "warning")
    # "-" sorts before ".": the program goes down after all that belongs to it
    in_order = dict(sorted(files.items()))
    cuts = f"{name}{ending}" if f"{name}{ending}" in files else f"{name}-dro.csv"
    said = (after_make(recut, found, readback_figures(back)), *letters, *warnings)
    facts = recut.facts
    if program is None:  # rows go down by what the readout can show
        facts = facts._replace(shape=facts.shape._replace(depth=by_hand.plan.depth))
    return Done(name, cuts, facts, in_order, said, found, card, piece if printing.together else None)


def checked_table(recut: Recut, name: str) -> ByHand:
    """The table of a recut, its rows checked like a program.

    Raises:
        StopError: a finding on the rows forbids them, or their readback fails.
    """
    by_hand = table_of(recut)
    found = stops(by_hand.findings)
    if found:
        raise StopError("\n".join(f"{name}: {f.line(recut.job.units)}" for f in found))
    _stop_unless(by_hand.readback, name, recut.job.units)
    return by_hand


def in_letters(name: str) -> str:
    """A file name as text: it may hold bytes that are no letters."""
    return name.encode(errors="replace").decode()


def as_json(value: Any) -> str:
    """JSON text with a line end; the same value always gives the same text."""
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _proving(recut: Recut, lift: float, name: str) -> str:
    if lift < 0:
        lift = float(int(least_lift(recut)) + 10)
    copy = made(recut, lift=lift)
    _stop_unless(copy.readback, name, recut.job.units)
    if copy.readback.removed > LEAST_LIFTED:
        raise StopError(f"{name}: would remove {copy.readback.removed:.3f} mm3; lift it higher")
    return copy.text


def _stop_unless(back: Readback, name: str, units: Units) -> None:
    if not back.ok:
        raise StopError("\n".join(f"{name}: {f.line(units)}" for f in stops(back.findings)))


def read_again(recut: Recut, data: bytes, name: str) -> Readback:
    """The readback of a program file, or of a table's CSV, against its job.

    Raises:
        InputError: the file is not text.
    """
    if name.lower().endswith(".csv"):
        rows = rows_of_csv(table_text(data, name), name)
        return readback_rows(rows, table_of(recut).setup)
    return readback(program_text(recut, data, name), setup_of(recut, frame_of(recut)))


def program_text(recut: Recut, data: bytes, name: str) -> str:
    """The text of a program file that may be for this job.

    Raises:
        InputError: the file is not text, or the job has no program.
    """
    try:
        text = data.decode("ascii")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError(
            f"{name}: line {line} is not plain ASCII text; no program of this tool is like that"
        ) from error
    if recut.job.machine.post == HAND:
        raise InputError(f'{name}: post = "dro-table" makes no program; read its .csv back, or say --post')
    return text


def table_text(data: bytes, name: str) -> str:
    """The text of a table's CSV, whatever a spreadsheet or a shell has made of its letters and line ends.

    Raises:
        InputError: it is no text.
    """
    wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        text = data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"{name}: is not text; save it as CSV in UTF-8") from error
    if "\0" in text:
        raise InputError(f"{name}: has zeros between its letters, as UTF-16 has; save it as CSV in UTF-8")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def printed_names(job: Job) -> tuple[str, ...]:
    """The texts of a job that are printed as they stand."""
    named = (job.holder, job.burette)
    return (job.title, *(table.name for table in named if table is not None))


def plotted(recut: Recut, out: Path, *, show: bool, job_file: str) -> tuple[str, ...]:
    """Draw the section to a file or a window, or put the page at the machine down.

    Says where it went, and which letters it could not print.

    Raises:
        InputError: the ending of the file says nothing that is drawn.
    """
    ending = out.suffix.lower().lstrip(".")
    if ending == "dxf" and not show:
        from toolpath.output.drawn import drawing_of

        write_whole(out.parent, {out.name: drawing_of(recut)})
        return (str(out),)
    if ending == "html" and not show:
        text = None if recut.job.machine.post == HAND else made(recut).text
        write_whole(out.parent, {out.name: _page(recut, text, None, job_file)})
        return (str(out),)
    from toolpath.paper.letters import boxed
    from toolpath.paper.pages import section_picture, show_section

    found = report_of(recut)
    diameter = reads_diameter(recut)
    if show:
        show_section(recut, found, diameter=diameter)
        return ("closed",)
    if ending not in ("png", "svg", "pdf"):
        raise InputError(
            f"--out {out}: ends in {out.suffix or 'nothing'}; give .png, .svg, .pdf, .html or .dxf"
        )
    write_whole(out.parent, {out.name: section_picture(recut, found, ending, diameter=diameter)})
    return (str(out), *boxed(printed_names(recut.job)))


def page_of_program(recut: Recut, data: bytes, name: str, job_file: str) -> bytes:
    """The page at the machine of a program file, with what is wrong with it marked at its lines.

    Raises:
        InputError: the file is not text, is a table, or the job has no program.
    """
    if name.lower().endswith(".csv"):
        raise InputError(f"{name}: --page plays a program; of a table say dishpath plot --out x.html")
    return _page(recut, program_text(recut, data, name), name, job_file)


def _page(recut: Recut, text: str | None, file: str | None, job_file: str) -> bytes:
    from toolpath.screen.page import page
    from toolpath.screen.piece import piece_of

    by_hand = table_of(recut)
    found = report_of(recut, by_hand).as_json()
    return page([piece_of(recut, found, by_hand, text, file=file, job_file=job_file)]).encode()


def reads_diameter(recut: Recut) -> bool:
    """Whether X is a diameter, in the program or, without one, on the readout, which reads like it."""
    return frame_of(recut).x_reading == "diameter"

"""Programs and tables as a tired person edits them: the dangerous ones are refused by their line, others pass."""

import re

import pytest

from postprocessors import find
from tests.hostile.dangerous import edits_of
from tests.sample_jobs import DIALECTS, job_file
from toolpath.api import load_job
from toolpath.output.files import read_again
from toolpath.program.by_hand import ByHand, rows_of_csv, table_of
from toolpath.program.text import made
from toolpath.readback.verdict import HandRow, readback_rows
from toolpath.recut import Recut, resolve

SAMPLES = ("pump-engine", "blank-bowl")
FEWEST = 60  # of one dialect and sample


@pytest.fixture(
    scope="module", params=[(post, sample) for post in DIALECTS for sample in SAMPLES], ids="-".join
)
def program(request) -> tuple[str, Recut, str]:
    """A sample's program in a dialect, of one piston's first cut where it may be, with its recut."""
    post, sample = request.param
    recut = resolve(load_job(job_file(sample), post=post))
    assert isinstance(recut, Recut)
    return post, recut, made(recut).text


def test_every_dangerous_edit_is_refused_by_its_line(program):
    post, recut, text = program
    edits = list(edits_of(text, find(post).READS_AS))
    assert len(edits) >= FEWEST
    passed = []
    for name, edited in edits:
        assert edited != text, name
        back = read_again(recut, edited.encode("ascii"), "edited.nc")
        if back.ok or back.worst_line is None:
            passed.append(name)
    assert passed == []


def _slower_in_air(text: str) -> str:
    """The air feed a third lower wherever it is written."""
    words = {float(word) for word in re.findall(r" F([\d.]+)", text)}
    return re.sub(
        r" F([\d.]+)", lambda w: f" F{float(w[1]) * 0.7:.4f}" if float(w[1]) == max(words) else w[0], text
    )


HARMLESS = {
    "a comment of one's own": lambda text: text.replace("M08\n", "(coolant nozzle checked)\nM08\n", 1),
    "a comment behind a block": lambda text: text.replace("M08\n", "M08 (flood)\n", 1),
    "other spacing": lambda text: re.sub(r"^(G0[0-3]) X", r"\1  X", text, flags=re.MULTILINE),
    "no spacing": lambda text: re.sub(r"^(G0[01]) ", r"\1", text, flags=re.MULTILINE),
    "capitals in comments": lambda text: re.sub(
        r"^\(.*\)$", lambda w: w[0].upper(), text, flags=re.MULTILINE
    ),
    "wider comments": lambda text: re.sub(r"^\((\w+) ", r"(\1   ", text, flags=re.MULTILINE),
    "block numbers": lambda text: "\n".join(
        f"N{10 * n} {line}" if re.match(r"[GMST]", line) else line
        for n, line in enumerate(text.split("\n"), 1)
    ),
    "empty lines": lambda text: text.replace("M08\n", "\n\nM08\n"),
    "line ends of another system": lambda text: text.replace("\n", "\r\n"),
    "a lower feed in air": _slower_in_air,
    "a dwell": lambda text: text.replace("M08\n", "M08\nG04 P0.5\n", 1),
}


@pytest.mark.parametrize("edit", HARMLESS.values(), ids=HARMLESS)
def test_a_harmless_edit_passes(program, edit):
    _, recut, text = program
    back = read_again(recut, edit(text).encode("ascii"), "edited.nc")
    assert [f.line() for f in back.findings if f.severity == "refused"] == []


# ---- the table by hand ---------------------------------------------------------------------------


@pytest.fixture(scope="module", params=SAMPLES)
def table(request) -> ByHand:
    """The table of a sample."""
    recut = resolve(load_job(job_file(request.param), post="dro-table"))
    assert isinstance(recut, Recut)
    return table_of(recut)


Rows = list[HandRow]


def _row(rows: Rows, at: int, **new: float) -> Rows:
    return [*rows[:at], rows[at]._replace(**new), *rows[at + 1 :]]


def dangerous_rows(by_hand: ByHand) -> dict[str, Rows]:
    """Dangerous edits of a table's rows."""
    rows = rows_of_csv(by_hand.csv, "table")
    cuts = [row.cut for row in by_hand.table.rows]
    rough = [
        k for k, cut in enumerate(cuts) if cut.startswith(("rough", "step"))
    ]  # a bowl in a blank is all steps
    last = len(rows) - 1
    axis = 2 * by_hand.readout.insert_radius
    found = {
        f"{name} at row {k + 1}": _row(rows, k, **new)
        for k in (0, rough[0], last)
        for name, new in (
            ("0.3 deeper", {"z": rows[k][0] - 0.3}),
            ("a point lost", {"z": rows[k][0] - 9.0}),
            ("15 past the axis at the start", {"x_start": -15.0 * 2 - axis}),
            ("15 past the axis at the stop", {"x_stop": -15.0 * 2 - axis}),
        )
    }
    found["every row down taken out"] = [row for k, row in enumerate(rows) if k not in rough]
    found["every skim row taken out"] = [row for k, row in enumerate(rows) if not cuts[k].startswith("skim")]
    found["the last rows taken out"] = rows[: len(rows) // 2]
    found["wider at the last row"] = _row(rows, last, x_stop=rows[last].x_stop + 2.0)
    found["two rows down taken out"] = [row for k, row in enumerate(rows) if k not in rough[1:3]]
    return found


def test_every_dangerous_row_is_refused(table):
    passed = []
    for name, rows in dangerous_rows(table).items():
        back = readback_rows(rows, table.setup)
        if back.ok or back.worst_line is None:
            passed.append(name)
    assert passed == []


def test_the_table_itself_passes(table):
    assert readback_rows(rows_of_csv(table.csv, "table"), table.setup).ok

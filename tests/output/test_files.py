"""Every file of a make by name, what is refused before any is written, and what is read again."""

import hashlib
import json
from typing import Any

import pytest

from tests.edited import recut_of
from tests.sample_jobs import DIALECTS
from toolpath.errors import InputError, StopError
from toolpath.output import files
from toolpath.output.files import (
    Done,
    Printing,
    as_json,
    base_name,
    cards_name,
    checked_table,
    cuttable,
    files_of,
    in_letters,
    made_line,
    put_down,
    round_of,
)
from toolpath.readings import log
from toolpath.recut import Recut

POST = 'post = "iso6983"'
HAND = (POST, 'post = "dro-table"')
PLAIN = Printing(pictures=False)


def done_of(recut: Recut, name: str = "pump", printing: Printing | None = PLAIN, **asked: Any) -> Done:
    return files_of(recut, name, **{"proving": None, "job_file": "pump.toml", **asked}, printing=printing)


# ---- names -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("printing", "stage", "kind"),
    [
        (Printing(), "whole", "full"),
        (Printing(), "first", "card"),
        (Printing(), "last", "card"),
        (Printing(sheet="card"), "whole", "card"),
        (Printing(sheet="full"), "last", "full"),
        (Printing(sheet="none"), "whole", "none"),
        (Printing(pictures=False, sheet="full"), "whole", "none"),
    ],
)
def test_which_sheet_is_printed(printing, stage, kind):
    assert printing.kind(stage) == kind


@pytest.mark.parametrize(
    ("stage", "piston", "name"),
    [
        ("whole", None, "pump"),
        ("first", None, "pump-first"),
        ("whole", 2, "pump-p2"),
        ("last", 12, "pump-p12-last"),
    ],
)
def test_the_name_of_a_cut(stage, piston, name):
    assert base_name("pump", stage, piston) == name
    assert cards_name("pump", stage) == f"pump-{stage}-cards.pdf"


PICTURES = {"pump-section.png", "pump-corner.png", "pump-sheet.pdf", "pump.html"}
ALWAYS = {"pump-dro.csv", "pump-dro.txt", "pump-report.json"}


@pytest.mark.parametrize("post", [*DIALECTS, "dro-table"])
@pytest.mark.parametrize("proving", [None, 30.0])
def test_the_files_of_a_make(post, proving):
    recut = recut_of((POST, f'post = "{post}"'))
    if post == "dro-table" and proving:
        with pytest.raises(
            InputError, match=r'^--proving: post = "dro-table" makes no program; prove the first rows'
        ):
            done_of(recut, proving=proving)
        return
    done = done_of(recut, proving=proving)
    program = set() if post == "dro-table" else {"pump.nc"}
    assert set(done.files) == ALWAYS | program | ({"pump-proving.nc"} if proving else set())
    assert done.name == "pump"
    # the program goes down after all that belongs to it
    assert list(done.files) == sorted(done.files)
    assert done.cuts == ("pump-dro.csv" if post == "dro-table" else "pump.nc")
    assert post == "dro-table" or list(done.files)[-1] == done.cuts
    report = json.loads(done.files["pump-report.json"])
    assert report["program"]["file"] == (None if post == "dro-table" else done.cuts)
    assert report == json.loads(as_json(done.report.as_json()))
    assert done.said[0].endswith(f"read back: {report['readback']['volume_cc']:.3f} cc, agrees")
    if proving:
        (copy,) = (text for name, text in done.files.items() if "proving" in name)
        assert b"PROVING COPY LIFTED BY 30 MM" in copy.upper()
        assert copy != done.files[done.cuts]


def test_pictures_sheet_and_page_where_they_are_wanted():
    done = done_of(recut_of(), printing=None)
    assert set(done.files) == ALWAYS | PICTURES | {"pump.nc"}
    assert done.files["pump-section.png"].startswith(b"\x89PNG")
    assert done.files["pump-sheet.pdf"].startswith(b"%PDF")
    assert b"<html" in done.files["pump.html"]
    assert (done.card, done.piece) == (None, None)
    none = done_of(recut_of(), printing=Printing(sheet="none"))
    assert set(none.files) == set(done.files) - {"pump-sheet.pdf"}


@pytest.mark.parametrize(
    ("stage", "sheet"), [("first", True), ("whole", False)], ids=["a card", "a full sheet"]
)
def test_cards_and_pages_of_a_round_go_into_one_file(stage, sheet):
    """A full sheet stays one of its own; the page of every piston goes in with the others."""
    printing = Printing(together=True)
    rounds = [done_of(recut_of(piston=n, stage=stage), f"pump-p{n}", printing) for n in (1, 2)]
    for done in rounds:
        assert (done.card is not None) == sheet
        assert (f"{done.name}-sheet.pdf" in done.files) != sheet
        assert f"{done.name}.html" not in done.files
        assert done.piece is not None
    found = round_of("pump", rounds, printing)
    assert set(found) == {f"pump-{stage}.html"} | ({f"pump-{stage}-cards.pdf"} if sheet else set())
    page = found[f"pump-{stage}.html"].decode()
    assert all(f"PISTON {n} OF 4" in page for n in (1, 2))
    assert round_of("pump", [done_of(recut_of())], PLAIN) == {}


def test_rows_go_down_by_what_the_readout_can_show():
    """The log keeps the depth of the rows where they are what is cut by."""
    recut, by_hand = recut_of(), recut_of(HAND)
    assert done_of(recut).facts == recut.facts
    depth = done_of(by_hand).facts.shape.depth
    assert depth < by_hand.facts.shape.depth
    assert depth == pytest.approx(round(depth, 2))


def test_warnings_are_said_and_notes_are_not():
    done = done_of(recut_of())
    assert any("  warning: " in line for line in done.said[1:])
    assert not any("note: " in line for line in done.said)


def test_letters_that_cannot_be_printed_are_said():
    named = recut_of(("Pump engine, four", "Pump \U00013080 four"))
    told = [
        line for line in done_of(named, printing=None).said if "EGYPTIAN" in line.upper() or "\u25a1" in line
    ]
    assert len(told) == 1
    assert done_of(recut_of(), printing=None).said[1].startswith("  warning: ")


def test_what_an_earlier_run_has_left_beside(tmp_path):
    """Only what belongs to this cut, in whatever case the disk shows it, and not what is written now."""
    done = done_of(recut_of(HAND))
    left = {"pump.nc", "PUMP.HTML", "pump-proving.nc", "pump-section.png", "pump-sheet.pdf"}
    for name in (*left, "pump-dro.csv", "pump-p2.nc", "other.nc", "pump.toml"):
        (tmp_path / name).write_bytes(b"")
    assert {p.name for p in done.older(tmp_path)} == left
    assert done.older(tmp_path / "none") == []
    with_program = done_of(recut_of())
    assert {p.name for p in with_program.older(tmp_path)} == left - {"pump.nc"}


@pytest.mark.parametrize(
    ("name", "text"), [("pump", "pump"), ("k\u00e4fer", "k\u00e4fer"), ("a\udcff", "a?")]
)
def test_a_name_with_bytes_that_are_no_letters(name, text):
    assert in_letters(name) == text


# ---- refused -----------------------------------------------------------------------------------


def test_what_is_refused_is_told_a_line_each():
    recut = recut_of(("min_floor = 6.0", "min_floor = 9.0"), ("min_rim = 8.0", "min_rim = 20.0"))
    with pytest.raises(StopError) as raised:
        cuttable(recut)
    lines = str(raised.value).split("\n")
    assert len(lines) == 2
    assert all(line.startswith("refused: ") for line in lines)
    fine = recut_of()
    assert cuttable(fine) is fine


def test_a_table_is_refused_by_its_name_and_findings():
    recut = recut_of(
        (POST, 'post = "dro-table"\nprogram_units = "inch"'),
        ('control_point = "face-outer"', 'control_point = "insert-centre"'),
        ("min_head_room = 1.0", "min_head_room = 1.899"),
    )
    with pytest.raises(
        StopError, match=r"^pump-dro\.csv: refused: .*min_head_room.*1\.896 mm \(limit 1\.899 mm\)"
    ):
        checked_table(recut, "pump-dro.csv")


@pytest.mark.parametrize("which", ["program", "table"])
def test_nothing_is_made_of_what_does_not_read_back(which, monkeypatch):
    recut = recut_of()
    name = "made" if which == "program" else "table_of"
    right = getattr(files, name)

    def wrong(*asked: Any, **more: Any) -> Any:
        found = right(*asked, **more)
        rows = files.readback(found.text.replace("Z-", "Z-1"), files.setup_of(recut, files.frame_of(recut))) \
            if which == "program" else files.readback_rows([], found.setup)  # fmt: skip
        return found._replace(readback=rows)

    monkeypatch.setattr(files, name, wrong)
    with pytest.raises(
        StopError, match=r"^pump\.nc: refused: " if which == "program" else r"^pump-dro\.csv: refused: "
    ):
        done_of(recut)


@pytest.mark.parametrize("sample", ["pump-engine", "blank-bowl"])
def test_the_least_lift_is_the_next_whole_ten_and_more(sample):
    """Asked for no number: skim, depth and clearance, whole, and 10 mm."""
    recut = recut_of(sample=sample)
    done = done_of(recut, proving=-1.0)
    (copy,) = (text.decode() for name, text in done.files.items() if "proving" in name)
    least = recut.design.skim + recut.design.depth + recut.job.cutting.clearance
    assert f"LIFTED BY {int(least) + 10} MM" in copy.upper()


@pytest.mark.parametrize("lift", [0.0, 2.0])
def test_a_proving_copy_that_is_too_low_is_refused(lift):
    with pytest.raises(
        InputError, match=rf"^--proving {lift:g} mm is not more than skim \+ depth \+ clearance"
    ):
        done_of(recut_of(), proving=lift)


def test_a_proving_copy_that_seems_to_cut_is_refused(monkeypatch):
    right = files.made

    def cutting(recut: Recut, *, lift: float | None = None) -> Any:
        found = right(recut, lift=lift)
        return found if lift is None else found._replace(readback=found.readback._replace(removed=0.25))

    monkeypatch.setattr(files, "made", cutting)
    with pytest.raises(StopError, match=r"^pump-proving\.nc: would remove 0\.250 mm3; lift it higher$"):
        done_of(recut_of(), proving=40.0)


# ---- put down ----------------------------------------------------------------------------------


def test_the_line_of_the_log():
    recut = recut_of(piston=3, stage="first")
    done = done_of(recut, "pump-p3-first")
    line = made_line(recut, done)
    assert (line.piston, line.mark, line.file) == (3, recut.mark, "pump-p3-first.nc")
    assert line.sha == hashlib.sha256(done.files["pump-p3-first.nc"]).hexdigest()
    assert line.facts == recut.facts
    with pytest.raises(ValueError, match="no piston"):
        made_line(recut_of(), done)


@pytest.mark.parametrize("kept", [False, True], ids=["no piston", "no log"])
def test_files_without_a_log(kept, tmp_path):
    recut = recut_of(piston=1) if kept else recut_of()
    done = done_of(recut)
    place = None if kept else tmp_path / "log.csv"
    assert put_down(recut, done, tmp_path / "out", place, 7) == 7
    assert {p.name: p.read_bytes() for p in (tmp_path / "out").iterdir()} == done.files
    assert not (tmp_path / "log.csv").exists()


def test_a_cut_is_noted_once_and_its_files_put_down(tmp_path):
    recut, place = recut_of(piston=1, stage="first"), tmp_path / "log.csv"
    done = done_of(recut)
    assert put_down(recut, done, tmp_path / "out", place, 0) == 1
    assert put_down(recut, done, tmp_path / "out", place, 1) == 1  # the same again is no second cut
    assert [type(e).__name__ for e in log.load(place).entries] == ["MadeCut"]
    assert {p.name for p in (tmp_path / "out").iterdir()} == set(done.files)


@pytest.mark.parametrize("error", [InputError("full"), KeyboardInterrupt()], ids=["full", "interrupted"])
def test_a_cut_whose_files_cannot_be_written_is_withdrawn(error, tmp_path, monkeypatch):
    recut, place = recut_of(piston=1, stage="first"), tmp_path / "log.csv"
    done = done_of(recut)

    def fails(*_: Any) -> None:
        raise error

    with monkeypatch.context() as patch:
        patch.setattr(files, "write_whole", fails)
        with pytest.raises(type(error)):
            put_down(recut, done, tmp_path / "out", place, 0)
    now = log.load(place)
    assert (now.entries, now.last_number) == ((), 2)
    assert "its files could not be written" in place.read_text(encoding="utf-8")
    # one that was noted before and not anew stands
    assert put_down(recut, done, tmp_path / "out", place, 2) == 3
    with monkeypatch.context() as patch:
        patch.setattr(files, "write_whole", fails)
        with pytest.raises(type(error)):
            put_down(recut, done, tmp_path / "out", place, 3)
    assert len(log.load(place).entries) == 1

"""What `make` prints, from the command line: which sheet, which cards, what is left out and what is from before."""

from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.sample_jobs import job_file, run


@pytest.fixture(name="job")
def _job(tmp_path: Path) -> Path:
    place = tmp_path / "pump.toml"
    place.write_text(job_file("pump-engine").read_text(encoding="utf-8"), encoding="utf-8")
    return place


def printed(job: Path) -> dict[str, list[str]]:
    """The PDFs beside a job with the text of their pages."""
    return {
        p.name: [page.extract_text() for page in PdfReader(p).pages]
        for p in job.with_suffix("").glob("*.pdf")
    }


def test_a_round_has_its_cards_in_one_file(job: Path) -> None:
    made = run("make", job, "--piston", "1,3")
    assert made.exit_code == 0, made.output
    assert "pump-first-cards.pdf" in made.output
    found = printed(job)
    assert list(found) == ["pump-first-cards.pdf"]
    assert [page.split("\n")[0] for page in found["pump-first-cards.pdf"]] == [
        "PISTON 1 OF 4 - FIRST CUT",
        "PISTON 3 OF 4 - FIRST CUT",
    ]
    before = (job.with_suffix("") / "pump-first-cards.pdf").read_bytes()
    assert run("make", job, "--piston", "1,3", "--stage", "first").exit_code == 0
    assert (job.with_suffix("") / "pump-first-cards.pdf").read_bytes() == before
    alone = run("make", job, "--piston", "1", "--stage", "first")
    assert "pump-first-cards.pdf: its card of piston 1 is from before" in alone.output
    assert sorted(printed(job)) == ["pump-first-cards.pdf", "pump-p1-first-sheet.pdf"]


def test_a_round_of_two_stages_has_two_files_and_says_what_is_left_out(job: Path) -> None:
    assert run("make", job, "--piston", "1,2", "--no-pictures").exit_code == 0
    assert not printed(job)
    assert run("reading", job, "1=11.0").exit_code == 0
    made = run("make", job, "--piston", "all")
    assert made.exit_code == 0, made.output
    assert "piston 2 is left out: a reading is due" in made.output
    found = printed(job)
    assert sorted(found) == ["pump-first-cards.pdf", "pump-last-cards.pdf"]
    assert [len(pages) for _, pages in sorted(found.items())] == [2, 1]
    assert "11.00" in found["pump-last-cards.pdf"][0]


@pytest.mark.parametrize(
    ("words", "pages"),
    [
        ((), 1),
        (("--sheet", "full"), 5),
        (("--sheet", "full", "--table"), 6),
        (("--table",), 2),
        (("--sheet", "none"), 0),
    ],
    ids=["card", "full", "full with its table", "card with its table", "none"],
)
def test_sheet_of_one_cut(job: Path, words: tuple[str, ...], pages: int) -> None:
    made = run("make", job, "--piston", "2", *words)
    assert made.exit_code == 0, made.output
    found = printed(job)
    assert list(found) == (["pump-p2-first-sheet.pdf"] if pages else [])
    assert sum(map(len, found.values())) == pages


@pytest.mark.parametrize(
    "words",
    [("--sheet", "card", "--no-pictures"), ("--table", "--no-pictures"), ("--table", "--sheet", "none")],
    ids=" ".join,
)
def test_options_that_cannot_both_be(job: Path, words: tuple[str, ...]) -> None:
    made = run("make", job, *words)
    assert made.exit_code == 2
    assert made.output.startswith(words[0])
    assert not job.with_suffix("").exists()

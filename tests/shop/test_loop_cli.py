"""A set of four on the real command line, from the starter job to the record."""

import json
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.shop.command_line import dishpath
from toolpath.readings.log import beside, load


@pytest.fixture(name="job")
def _job(tmp_path: Path) -> Path:
    job = tmp_path / "job.toml"
    dishpath("new", job, "--like", "pump-engine")
    return job


def report(job: Path, piston: int, stage: str) -> dict:
    return json.loads((job.parent / "job" / f"job-p{piston}-{stage}-report.json").read_text(encoding="utf-8"))


def program(job: Path, piston: int, stage: str) -> str:
    return (job.parent / "job" / f"job-p{piston}-{stage}.nc").read_text(encoding="ascii")


def test_a_set_of_four_from_new_to_the_record(job: Path) -> None:
    """Each piston is a little off its own way; the volumes are what a burette with 0.05 cc lines would say."""
    finished = {}
    for piston, (received, off) in enumerate([(9.25, 0.05), (9.3, -0.05), (9.4, 0.0), (9.2, -0.1)], 1):
        dishpath("reading", job, "--piston", piston, received, "--after", "as-received")
        dishpath("make", job, "--piston", piston, "--stage", "last", exit_code=2)  # nothing to correct yet
        dishpath("make", job, "--piston", piston, "--stage", "first", "--no-pictures")
        first = report(job, piston, "first")
        assert first["volume"]["as_received_cc"] == pytest.approx(received, abs=1e-3)
        assert first["expected"]["volume_cc"] + 2 * first["expected"]["u_cc"] < 11.6
        assert first["plan"]["passes_skim"] == 2
        read = round((first["expected"]["volume_cc"] + off) / 0.05) * 0.05
        said = dishpath("reading", job, "--piston", piston, f"{read:.2f}")
        assert f"piston {piston} after first: {read:g} cc stored" in said
        dishpath("make", job, "--piston", piston, "--stage", "last", "--no-pictures")
        last = report(job, piston, "last")
        assert last["expected"]["volume_cc"] == pytest.approx(11.6, abs=0.02)
        assert last["plan"]["passes_skim"] == 0
        assert last["removed"]["volume_cc"] == pytest.approx(11.6 - read, abs=0.06)
        assert last["plan"]["feed_in_metal_share"] > 0.5
        assert "ZERO NOTED" in program(job, piston, "last")
        assert "zero=noted" in beside(job).read_text(encoding="utf-8").splitlines()[-1]
        finished[piston] = round(11.6 + off / 5, 2)
        dishpath("reading", job, "--piston", piston, finished[piston])
    kept = load(beside(job)).readings
    assert [(r.piston, r.after) for r in kept] == [
        (piston, after) for piston in (1, 2, 3, 4) for after in ("as-received", "first", "last")
    ]
    found = json.loads(dishpath("pistons", job, "--json", "--record", job.with_name("record.pdf")))
    assert [p["final_cc"] for p in found["pistons"]] == pytest.approx(list(finished.values()))
    assert [p["next"] for p in found["pistons"]] == ["done"] * 4
    assert found["spread_cc"] == pytest.approx(0.03)
    text = " ".join(page.extract_text() for page in PdfReader(job.with_name("record.pdf")).pages)
    assert "4 of 4 pistons" in text
    assert re.findall(r"^[1-4] .* within$", text, re.MULTILINE)[3].startswith("4 9.20 ")


def test_the_common_target_is_cut_after_one_piston_went_over(job: Path) -> None:
    """Piston 1 is over: the set says what all can meet, and once that is taken piston 2 is cut to it."""
    dishpath("reading", job, "1=9.3", "2=9.3", "3=9.3", "4=9.3")
    dishpath("make", job, "--piston", "1,2", "--no-pictures")
    dishpath("reading", job, "1=11.75", "2=11.4", "--sure")
    found = json.loads(dishpath("pistons", job, "--json"))
    assert found["common_target_cc"] == pytest.approx(11.75)
    assert "over by 0.15 cc" in found["pistons"][0]["next"]
    assert "nothing is left to cut" in dishpath("make", job, "--piston", 1, "--stage", "last", exit_code=1)
    dishpath("pistons", job, "--take-common")
    assert "no cut is due" in dishpath("make", job, "--piston", 1, exit_code=2)
    dishpath("make", job, "--piston", 2, "--no-pictures")
    made = report(job, 2, "last")
    assert made["volume"]["target_cc"] == pytest.approx(11.75)
    assert made["expected"]["volume_cc"] == pytest.approx(11.75, abs=0.02)
    assert made["removed"]["volume_cc"] == pytest.approx(0.35, abs=0.06)

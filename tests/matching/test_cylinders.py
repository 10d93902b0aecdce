"""Pistons that differ: each its own volume for a ratio, its own skim for a height; the set by command line."""

import json
import math
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.sample_jobs import job_file, run
from toolpath import api
from toolpath.profile.design import Design
from toolpath.recut import design_of

PUMP = job_file("pump-engine").read_text(encoding="utf-8")
QUAD = job_file("four-valve").read_text(encoding="utf-8")
EXAMPLES = [  # swept volume cc, bore mm, ratio: compression-ratio problems with printed answers, see the ids
    pytest.param(245.0, 70.0, 10.007, id="solved textbook question: 245 cc, bore 7.00 cm, r 10.007"),
    pytest.param(636.17, 90.0, 10.79, id="exam problem: bore 90, stroke 100, r 10.79"),
    pytest.param(250.0, 73.2, 9.33, id="exam key: 250 cc, bore to stroke 1.2, r 9.33"),
]


def stated(text: str, table: str, **keys: object) -> str:
    """The job with some keys of a table stated anew."""
    for key, value in keys.items():
        head, title, body = re.split(rf"(?m)^(\[{table}\].*\n)", text, maxsplit=1)
        body, *rest = re.split(r"(?m)^(?=\[)", body, maxsplit=1)
        body = re.sub(rf"(?m)^{key} = .*\n", "", body)
        text = f"{head}{title}{key} = {value}\n{body}" + "".join(rest)
    return text


def design(place: Path, text: str, piston: int) -> Design:
    job = place / "job.toml"
    job.write_text(text, encoding="utf-8")
    found = design_of(api.load_job(job).for_piston(piston))
    assert isinstance(found, Design), found
    return found


@pytest.mark.parametrize(("swept", "bore", "ratio"), EXAMPLES)
@pytest.mark.parametrize("more", [0.0, 0.4, -0.3], ids=["as printed", "larger chamber", "smaller chamber"])
def test_a_ratio_gives_every_cylinder_its_own_volume(tmp_path, swept, bore, ratio, more):
    """r = (Vs + Vc)/Vc, so the dish is Vs/(r - 1) less chamber, gasket, deck and crevice, all by hand here."""
    stroke = swept * 1000 / (math.pi / 4 * bore**2)
    skim, gasket, deck = 0.5, 1.0, 0.1
    crown = bore - 0.6
    clearance = swept / (ratio - 1)
    beside = math.pi / 4 * bore**2 * (gasket + deck + skim) / 1000
    dish = 6.0  # cc, about, as printed
    chamber = clearance - beside - dish
    text = stated(PUMP, "engine", bore=bore, stroke=stroke, gasket_bore=bore, gasket_thickness=gasket)
    text = stated(text, "engine", chamber_cc=chamber, deck_clearance=deck, crevice_cc=0, min_head_room=0.2)
    text = stated(text, "piston", crown_diameter=crown, groove_root_diameter=crown - 8)
    text = stated(text, "existing", mouth_diameter=44.0, volume_cc=2.5)
    text = stated(text, "dish", mouth_diameter=50.0)
    text = re.sub(r"(?m)^edge_break = .*\n", "", text)
    text += f"\n[[cylinder]]\nnumber = 2\nchamber_cc = {chamber + more}\ntarget_ratio = {ratio}\n"
    found = design(tmp_path, text, 2)
    assert found.target / 1000 == pytest.approx(clearance - beside - chamber - more, abs=1e-6)
    other = design(tmp_path, text, 1)
    assert other.target / 1000 == pytest.approx(11.6)


def test_a_height_gives_every_piston_its_own_skim(tmp_path):
    skims = [design(tmp_path, QUAD, n).skim for n in (1, 2, 3, 4)]
    assert skims == pytest.approx([0.30, 0.32, 0.29, 0.33])


@pytest.mark.parametrize(
    ("keys", "says"),
    [
        ("number = 9", r"cylinder\[1\]\.number = 9: the set has 4 pistons"),
        ("number = 1\n[[cylinder]]\nnumber = 1", "this piston has a \\[\\[cylinder\\]\\] already"),
        ("number = 1\ntarget_cc = 11\ntarget_ratio = 9", "cannot stand beside target_cc"),
        ("number = 1\ncompression_height = 40", r"state the height wanted as crown\.compression_height"),
        ("number = 1\ncamber_cc = 40", "did you mean chamber_cc"),
    ],
    ids=["no such piston", "twice", "both targets", "height without a wish", "typo"],
)
def test_cylinders_that_cannot_be(tmp_path, keys, says):
    job = tmp_path / "job.toml"
    job.write_text(f"{PUMP}\n[[cylinder]]\n{keys}\n", encoding="utf-8")
    done = run("check", job)
    assert done.exit_code == 2
    assert re.search(says, done.output), done.output


def test_a_height_that_cannot_be_reached_names_the_least(tmp_path):
    job = tmp_path / "quad.toml"
    job.write_text(QUAD.replace("compression_height = 30.02", "compression_height = 29.71"), encoding="utf-8")
    done = run("check", job)
    assert done.exit_code == 1
    assert "would not clean up" in done.output
    assert "29.690 mm or less" in done.output


@pytest.fixture
def quad(tmp_path: Path) -> Path:
    job = tmp_path / "quad.toml"
    job.write_text(QUAD, encoding="utf-8")
    return job


def test_check_shows_the_set_and_make_asks_for_pistons(quad):
    shown = run("check", quad)
    assert shown.exit_code == 0
    rows = re.findall(r"(?m)^ +(\d)\s+([\d.]+)\s+([\d.]+)\s+([\d.]+)", shown.output)
    assert [row[0] for row in rows] == ["1", "2", "3", "4"]
    assert {row[3] for row in rows} == {"9.900"}
    assert "2.2 h" in shown.output
    assert "Price of the set at 55 an hour: 121" in shown.output
    asked = run("make", quad, "--no-pictures")
    assert asked.exit_code == 2
    assert "--piston all" in asked.output


def test_a_set_from_the_job_to_the_record_in_few_words(quad, monkeypatch):
    """What is typed for four pistons is at most 280 characters, with 80 more when one comes out over."""
    monkeypatch.chdir(quad.parent)
    typed = [
        "make quad.toml --piston all --no-pictures",
        "reading quad.toml 1=7.93 2=8.13 3=7.79 4=7.68",
        "make quad.toml --piston all --no-pictures",
        "reading quad.toml 1=8.05 2=8.26 3=7.92 4=7.79",
        "pistons quad.toml --record quad-record.pdf",
    ]
    for line in typed:
        done = run(*line.split())
        assert done.exit_code == 0, done.output
    assert done.output.count("done") == 4
    record = PdfReader(quad.parent / "quad-record.pdf").pages[0].extract_text()
    for piston in range(1, 5):  # a deepened dish once stood there with a depth of 0
        section = json.loads((quad.parent / "quad" / f"quad-p{piston}-last-report.json").read_text())[
            "section"
        ]
        assert f"{section['depth_mm']:.3f}" in record
        assert f"{section['floor_thickness_mm']:.3f}" in record
    assert sum(len(f"dishpath {line}".replace(" --no-pictures", "")) for line in typed) <= 280


def test_an_overshoot_is_taken_up_by_a_logged_target(quad, monkeypatch):
    """Each piston has its own volume, so what all can still meet is a ratio: that of the one that is over."""
    monkeypatch.chdir(quad.parent)
    run("make", "quad.toml", "--piston", "all", "--no-pictures")
    run("reading", "quad.toml", "1=7.93", "2=8.13", "3=7.79", "4=7.68")
    run("make", "quad.toml", "--piston", "all", "--no-pictures")
    run("reading", "quad.toml", "1=8.05", "2=8.26", "3=8.13", "4=7.79", "--sure")
    shown = run("pistons", "quad.toml").output
    ratio = re.findall(r"The whole set can still meet ([\d.]+) to 1", shown)
    assert ratio
    assert "next: dishpath pistons quad.toml --take-common" in shown
    taken = run("pistons", "quad.toml", "--take-common")
    assert taken.exit_code == 0, taken.output
    log = (quad.parent / "quad-readings.csv").read_text(encoding="utf-8")
    assert log.count(",target,") == 4
    assert "piston 3 over" in log
    assert run("make", "quad.toml", "--piston", "all", "--no-pictures").exit_code == 0
    again = run("pistons", "quad.toml", "--take-common")
    assert again.exit_code == 2
    assert "there is no common target to take" in again.output

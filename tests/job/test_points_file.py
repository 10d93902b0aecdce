"""Points out of a file: what may stand in it, several tracks, what is said of them, and each fault."""

import re
from pathlib import Path

import pytest

from toolpath.api import load_job
from toolpath.errors import InputError
from toolpath.findings import Finding
from toolpath.job.model import Job
from toolpath.recut import resolve
from toolpath.reference import folder

BOWL = "0, 4.0\n20, 3.6\n40, 2.2\n56, 0\n"
ROWS = ((0.0, 4.0, False), (20.0, 3.6, False), (40.0, 2.2, False), (56.0, 0.0, False))


def job_with(place: Path, text: str | bytes, *, units: str = "mm") -> Job:
    """The four-valve sample with its old dish out of a file."""
    job = (folder("samples") / "four-valve.toml").read_text(encoding="utf-8")
    job = re.sub(r"(?m)^points = .*$", 'points_file = "bowl.csv"', job)
    if units == "inch":
        job = job.replace('units = "mm"', 'units = "inch"').replace("feed = 0.12", 'feed = "0.12 mm"')
    (place / "job.toml").write_text(job, encoding="utf-8")
    (place / "bowl.csv").write_bytes(text if isinstance(text, bytes) else text.encode())
    return load_job(place / "job.toml")


def scatter_of(job: Job) -> list[Finding]:
    return [f for f in resolve(job).findings if f.code == "points-scatter"]


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(BOWL, id="commas"),
        pytest.param("diameter, depth\n" + BOWL, id="header"),
        pytest.param(BOWL.replace(", ", ";"), id="semicolons"),
        pytest.param("D;T\n0;4,0\n20;3,6\n40;2,2\n56;0\n", id="decimal commas"),
        pytest.param(
            "\ufeff# measured cold\r\n\r\n" + BOWL.replace("\n", "\r\n"), id="as a spreadsheet saves it"
        ),
        pytest.param(BOWL.replace(", ", "\t"), id="tabs"),
    ],
)
def test_one_track(text: str, tmp_path: Path) -> None:
    assert job_with(tmp_path, text).existing.section_points == ROWS


def test_a_corner_is_marked_in_its_row(tmp_path: Path) -> None:
    rows = job_with(tmp_path, "0, 4\n50, 4, sharp\n56, 0\n").existing.section_points
    assert rows == ((0, 4, False), (50, 4, True), (56, 0, False))


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("0, 4.1, 3.9\n20, 3.5, 3.7\n40, 2.2, 2.2\n56, 0, 0\n", id="a column each"),
        pytest.param(
            "0, 4.1\n20, 3.5\n40, 2.2\n56, 0\n0, 3.9\n20, 3.7\n40, 2.2\n56, 0\n", id="one after another"
        ),
    ],
)
def test_tracks_are_averaged_and_their_scatter_is_told(text: str, tmp_path: Path) -> None:
    job = job_with(tmp_path, text)
    assert job.existing.section_points is not None
    assert [row[1] for row in job.existing.section_points] == pytest.approx([4.0, 3.6, 2.2, 0.0])
    (found,) = scatter_of(job)
    # differences 0.2, 0.2, 0, 0: the variance of a pair is half the square of its difference
    assert "the 2 tracks of bowl.csv scatter by 0.100 mm (standard deviation)" in found.what
    assert "up to 0.200 mm from each other, at diameter" in found.what
    assert (found.severity, found.value, found.limit) == ("warning", pytest.approx(0.2), 0.1)


@pytest.mark.parametrize(("other", "severity"), [(3.91, "note"), (3.89, "warning")])
def test_tracks_further_apart_than_the_job_allows_are_a_warning(
    other: float, severity: str, tmp_path: Path
) -> None:
    """The sample states depth_uncertain = 0.1."""
    (found,) = scatter_of(job_with(tmp_path, f"0, 4.0, {other}\n20, 3.6, 3.6\n40, 2.2, 2.2\n56, 0, 0\n"))
    assert found.severity == severity


def test_one_point_off_the_curve_of_the_others_is_told(tmp_path: Path) -> None:
    """A slip of 0.4 mm in one of seven points of a bowl of 96.5 mm radius."""
    sphere = 96.5
    depths = {d: 4.0 - sphere + (sphere**2 - d * d / 4) ** 0.5 for d in (0, 10, 20, 30, 40, 50)}
    depths[30] -= 0.4
    text = "\n".join(f"{d}, {depth:.4f}" for d, depth in depths.items()) + "\n55, 0.0\n"
    (found,) = scatter_of(job_with(tmp_path, text))
    assert "off the curve through the others, at diameter 30.00 mm" in found.what
    assert found.severity == "warning"
    assert found.value == pytest.approx(0.4, abs=0.02)


def test_points_of_a_file_are_in_the_units_of_the_job(tmp_path: Path) -> None:
    rows = job_with(tmp_path, "0, 0.16\n1, 0.1\n2, 0\n", units="inch").existing.section_points
    assert rows is not None
    assert rows[1] == (pytest.approx(25.4), pytest.approx(2.54), False)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        pytest.param("", "there are no points in it; write a diameter and a depth a line", id="empty"),
        pytest.param("diameter\n", "there are no points in it", id="header alone"),
        pytest.param(BOWL + "sixty, 0\n", "line 5 is 'sixty, 0'; write a diameter and a depth", id="word"),
        pytest.param("0, 4\n20\n", "line 2 is '20'; write a diameter and a depth", id="one number"),
        pytest.param("0, 4\n20, nan\n", "the depth of point 2 is nan: it is not a finite number", id="nan"),
        pytest.param("0, 4\n", "it has 1 points; give 2 to 500", id="one point"),
        pytest.param("-3, 4\n20, 3\n", "the diameter of point 1 is -3.0: it must be 0 or more", id="below 0"),
        pytest.param(
            "0, 4\n20, 3, pointed\n", 'third value of point 2 is "pointed"; only "sharp"', id="mark"
        ),
        pytest.param(
            BOWL + "0, 4\n20, 3\n",
            "one track has 4 points and another 2; measure all at the same diameters",
            id="tracks of two lengths",
        ),
        pytest.param(
            BOWL + "0, 4\n21, 3\n40, 2\n56, 0\n",
            "tracks differ at diameter 20 and 21 mm; measure all at the same diameters",
            id="tracks at other diameters",
        ),
        pytest.param(b"\xff\xfe0", "the file is not UTF-8 text; save it as plain text", id="not text"),
        pytest.param(b"0, 4\n" * 300_000, "it is 1.5 MB large; 1 MB are the most", id="large"),
    ],
)
def test_points_file_failure(text: str | bytes, told: str, tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        job_with(tmp_path, text)
    (fault,) = caught.value.faults
    assert fault.startswith('job.toml: existing.points_file = "bowl.csv": ')
    assert told in fault


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    job_with(tmp_path, BOWL)
    (tmp_path / "bowl.csv").unlink()
    with pytest.raises(InputError, match="No such file or directory"):
        load_job(tmp_path / "job.toml")


def test_points_and_a_file_of_them_are_one_too_many(tmp_path: Path) -> None:
    job_with(tmp_path, BOWL)
    text = (tmp_path / "job.toml").read_text()
    both = text.replace('points_file = "bowl.csv"', 'points_file = "bowl.csv"\npoints = [[0, 4], [56, 0]]')
    (tmp_path / "job.toml").write_text(both)
    with pytest.raises(InputError, match=r"existing\.points: it cannot stand beside existing\.points_file"):
        load_job(tmp_path / "job.toml")


def test_dish_and_underside_out_of_files(tmp_path: Path) -> None:
    text = (folder("samples") / "blank-bowl.toml").read_text(encoding="utf-8")
    text = re.sub(r"(?m)^underside_depth = .*$", 'underside_file = "underside.csv"', text)
    text = re.sub(r'(?m)^form = "spherical".*$', 'form = "points"\npoints_file = "dish.csv"', text)
    text = re.sub(r"(?m)^mouth_diameter = .*$", "", text)
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    (tmp_path / "dish.csv").write_text(BOWL)
    (tmp_path / "underside.csv").write_text("0, 20\n60, 20\n70, 24\n")
    job = load_job(tmp_path / "job.toml")
    assert job.dish.section_points == ROWS
    assert job.piston.underside_points == ((0, 20), (60, 20), (70, 24))
    recut = resolve(job)
    assert recut.design is not None
    assert recut.clearance is not None
    assert recut.clearance.crown.floor_thickness == pytest.approx(
        20 - recut.design.depth - recut.design.skim, abs=1e-3
    )

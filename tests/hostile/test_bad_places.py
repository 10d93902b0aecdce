"""Places that cannot be read or written, and a disk that is full: refused, and nothing left behind."""

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.hostile.folders import contents
from tests.hostile.jobs import job_text
from tests.windows import AS_WINDOWS
from toolpath.output.disk import SUFFIX

ROOT = Path(__file__).parents[2]
MOST_MEMORY = 300_000  # kB


@pytest.fixture(name="job")
def _job(tmp_path: Path) -> Path:
    job = tmp_path / "job.toml"
    job.write_text(job_text(), encoding="utf-8")
    return job


@pytest.mark.parametrize("name", ["missing.toml", "", "folder", "x" * 300, "job.toml/inside"])
def test_no_such_job(name, job, tmp_path, refused):
    (tmp_path / "folder").mkdir()
    answer = refused("check", f"{tmp_path}/{name}" if name else "", exit_code=2)
    assert len(answer.err.strip().splitlines()) <= 3


def test_no_such_program(job, tmp_path, refused):
    assert "missing.nc" in refused("readback", tmp_path / "missing.nc", "--job", job, exit_code=2).err


def test_no_such_shop_file(job, tmp_path, refused):
    assert "none.toml" in refused("check", job, "--shop", tmp_path / "none.toml", exit_code=2).err


def test_out_is_a_file(job, tmp_path, refused):
    (tmp_path / "out").write_text("mine", encoding="ascii")
    answer = refused("make", job, "--no-pictures", "--out", tmp_path / "out", exit_code=2)
    assert "out" in answer.err


def test_out_is_under_a_file(job, tmp_path, refused):
    (tmp_path / "out").write_text("mine", encoding="ascii")
    refused("make", job, "--no-pictures", "--out", tmp_path / "out" / "deeper", exit_code=2)


def test_an_output_is_a_folder(job, tmp_path, refused):
    (tmp_path / "out" / "job.nc").mkdir(parents=True)
    (tmp_path / "out" / "job-dro.csv").write_text("from before", encoding="ascii")
    refused("make", job, "--no-pictures", "--out", tmp_path / "out", exit_code=2)


@pytest.mark.skipif(AS_WINDOWS or os.geteuid() == 0, reason="the superuser may write anywhere")
def test_read_only_folder(job, tmp_path, refused):
    locked = tmp_path / "locked"
    locked.mkdir()
    locked.chmod(0o555)
    try:
        refused("make", job, "--no-pictures", "--out", locked, exit_code=2)
    finally:
        locked.chmod(0o755)


@pytest.mark.parametrize("call", ["fsync", "replace", "open"])
@pytest.mark.parametrize("after", [0, 1, 3])
def test_the_disk_is_full(call, after, job, tmp_path, refused, monkeypatch):
    """The first calls work, then there is no room; files from before stay whole."""
    (tmp_path / "out").mkdir()
    for name in ("job.nc", "job-dro.csv", "job-report.json"):
        (tmp_path / "out" / name).write_text("from before", encoding="ascii")
    fill_up(monkeypatch, call, after)
    answer = refused("make", job, "--no-pictures", "--out", tmp_path / "out", exit_code=2)
    assert os.strerror(errno.ENOSPC) in answer.err


@pytest.mark.parametrize("call", ["fsync", "replace", "open"])
def test_the_disk_is_full_before_there_is_a_folder(call, job, tmp_path, refused, monkeypatch):
    fill_up(monkeypatch, call, 1)
    refused("make", job, "--no-pictures", exit_code=2)
    assert not (tmp_path / "job").exists()


def test_the_disk_is_full_for_a_reading(job, tmp_path, run, monkeypatch):
    """A reading that could not be written is not stored; the file may be there, for others who wait for it."""

    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "write", full)
    answer = run("reading", job, "--piston", "1", "--after", "as-received", "9.3", "--sure")
    assert answer.exit_code == 2
    assert "not stored" in answer.err
    assert contents(tmp_path).get("job-readings.csv", b"") == b""


@pytest.mark.skipif(AS_WINDOWS or not os.path.exists("/dev/full"), reason="there is no /dev/full")
@pytest.mark.parametrize(
    "arguments", ["table", "check --json", "make --no-pictures", "reading --piston 1 --after first --sure 11"]
)
def test_standard_output_is_full(arguments, job):
    command, *more = arguments.split()
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "toolpath", command, job, *more],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
    assert done.returncode == 2
    why = os.strerror(errno.ENOSPC)
    assert done.stderr == f"standard output: {why}; see what is stored before you run it again\n"
    if command == "make":
        assert (job.parent / "job" / "job.nc").exists()
    if command == "reading":
        assert ",11,cc," in (job.parent / "job-readings.csv").read_text(encoding="utf-8")


def fill_up(monkeypatch: pytest.MonkeyPatch, call: str, after: int) -> None:
    """Let a call of the system fail for want of room, once it was made `after` times.

    A rename fails once: a name that was just given up can be taken again.
    """
    real, made = getattr(os, call), [0]

    def full(*arguments, **more):
        if call == "open" and not str(arguments[0]).endswith(SUFFIX):
            return real(*arguments, **more)
        made[0] += 1
        if made[0] == after + 1 or (made[0] > after and call != "replace"):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(*arguments, **more)

    monkeypatch.setattr(os, call, full)


def test_new_never_overwrites(job, refused):
    assert "job.toml" in refused("new", job, exit_code=2).err


def test_new_in_no_folder(tmp_path, refused):
    refused("new", tmp_path / "none" / "job.toml", exit_code=2)


def test_plot_to_an_unknown_ending(job, tmp_path, refused):
    refused("plot", job, "--out", tmp_path / "section.exe", exit_code=2)


LARGE = {
    "4 MB of a job": lambda: job_text() + "# nothing at all\n" * 250_000,
    "deep lists": lambda: "x = " + "[" * 400_000 + "]" * 400_000,
    "many keys": lambda: "".join(f"k{k} = 1\n" for k in range(60_000)),
    "many pockets": lambda: job_text() + "[[pocket]]\nvolume_cc = 0.1\narea_mm2 = 10\n" * 20_000,
    "many dotted keys": lambda: "".join(f"a{k}.b.c.d.e.f.g = 1\n" for k in range(30_000)),
}


@pytest.mark.skipif(AS_WINDOWS, reason="the memory of a child is told on POSIX only")
@pytest.mark.parametrize("content", LARGE.values(), ids=LARGE)
def test_large_files_take_little_memory(content, tmp_path):
    job = tmp_path / "job.toml"
    job.write_text(content(), encoding="utf-8")
    code, peak, _ = measured("check", str(job))
    assert code in (1, 2)
    assert peak < MOST_MEMORY


@pytest.mark.skipif(AS_WINDOWS, reason="the memory of a child is told on POSIX only")
def test_a_file_of_a_gigabyte_is_not_read(tmp_path):
    job = tmp_path / "job.toml"
    with job.open("wb") as out:
        out.truncate(1_000_000_000)  # sparse: takes no room
    code, peak, said = measured("check", str(job))
    assert code == 2
    assert peak < MOST_MEMORY
    assert "job.toml" in said


def measured(*arguments: str) -> tuple[int, int, str]:
    """Exit code, greatest memory in kB and standard error of the command line in a process of its own."""
    script = (
        "import resource, subprocess, sys\n"
        "done = subprocess.run([sys.executable, '-m', 'toolpath', *sys.argv[1:]], capture_output=True)\n"
        "print(done.returncode, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)\n"
        "sys.stderr.write(done.stderr.decode())\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments], capture_output=True, text=True, cwd=ROOT, check=True
    )
    code, peak = map(int, done.stdout.split())
    assert "Traceback" not in done.stderr
    return code, peak, done.stderr


def test_a_failed_make_says_that_the_older_program_is_from_before(job, tmp_path, run):
    assert run("make", job, "--no-pictures").exit_code == 0
    made = contents(tmp_path / "job")
    job.write_text(job_text({"dish.volume_cc": "2"}), encoding="utf-8")
    answer = run("make", job, "--no-pictures")
    assert answer.exit_code == 1
    assert "job.nc" in answer.err
    assert "from before" in answer.err
    assert contents(tmp_path / "job") == made

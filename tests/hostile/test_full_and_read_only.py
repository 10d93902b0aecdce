"""Drives that are really full or read-only, and a folder that its owner may not write: mounted for one command.

A reading is filled up to the last bytes of a memory page, so that the system itself writes half of its line.
"""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.hostile.jobs import job_text
from tests.windows import AS_WINDOWS

ROOT = Path(__file__).parents[2]
OLDER = "job/job.nc: is from before; do not run it for this job"
PAGE = 4096  # bytes; such a drive gives room by the page
MOUNT = """
mount -t tmpfs -o size=$1 none "$2" && cp -r "$3"/. "$2" || exit 77
case $4 in
read-only) mount -o remount,ro "$2" || exit 77 ;;
unwritable) chmod -R a-w "$2" ;;
esac
place=$2 kind=$4 before=$5/before after=$5/after; shift 5
cd "$place"
listed() { find . -exec ls -ld --time-style=+ {} + ; find . -type f -exec cksum {} + ; }
listed > "$before"
case $kind in
unwritable) setpriv --bounding-set=-dac_override "$@" ;;
*) "$@" ;;
esac
code=$?
listed > "$after"
exit $code
"""


def _mounts() -> bool:
    try:
        answer = subprocess.run(
            [
                "unshare",
                "-m",
                "sh",
                "-c",
                "mount -t tmpfs none /mnt && setpriv --bounding-set=-dac_override true",
            ],
            capture_output=True,
        )
    except FileNotFoundError:
        return False
    return answer.returncode == 0


pytestmark = pytest.mark.skipif(AS_WINDOWS or not _mounts(), reason="mounting takes Linux and its superuser")


@pytest.fixture(name="shop", scope="module")
def _shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a job that was made once, and readings up to 20 bytes before a page is full."""
    shop = tmp_path_factory.mktemp("mounts") / "shop"
    shop.mkdir()
    (shop / "job.toml").write_text(job_text(), encoding="utf-8")
    command("make", "job.toml", "--no-pictures", cwd=shop)
    command("reading", "job.toml", "--piston", "1", "--after", "as-received", "9.3", "--sure", cwd=shop)
    readings = shop / "job-readings.csv"
    before = readings.stat().st_size
    note = ("reading", "job.toml", "--piston", "1", "--after", "as-received", "9.31", "--sure", "--note")
    command(*note, "x", cwd=shop)
    line = readings.stat().st_size - before - 1
    command(*note, "x" * (PAGE - 20 - before - 2 * line - 1), cwd=shop)
    assert readings.stat().st_size == PAGE - 20
    (shop / "job.toml").write_text(job_text({"cutting.feed": "0.12"}), encoding="utf-8")
    return shop


def command(*arguments: str, cwd: Path) -> None:
    subprocess.run(
        [sys.executable, "-m", "toolpath", *arguments],
        cwd=cwd,
        env={"PYTHONPATH": str(ROOT)},
        check=True,
        capture_output=True,
    )


def mounted(shop: Path, kind: str, size: int, *arguments: str) -> tuple[int, list[str], bool]:
    """Exit code, lines on standard error, and whether all is as before, of a command on a mounted copy."""
    place = shop.parent / "mounted"
    place.mkdir(exist_ok=True)
    answer = subprocess.run(
        [
            *("unshare", "-m", "sh", "-c", MOUNT, "sh"),
            *(str(size), place, shop, kind, shop.parent),
            *(sys.executable, "-m", "toolpath", *arguments),
        ],
        env={"PYTHONPATH": str(ROOT), "PATH": "/usr/sbin:/usr/bin:/sbin:/bin"},
        capture_output=True,
        text=True,
    )
    assert answer.returncode != 77, answer.stderr
    before, after = ((shop.parent / name).read_text() for name in ("before", "after"))
    return answer.returncode, answer.stderr.splitlines(), before == after


MAKE = ("make", "job.toml", "--no-pictures")
READING = ("reading", "job.toml", "--piston", "2", "--after", "as-received", "9.3", "--sure")


def pages(shop: Path) -> int:
    return sum(-(-p.stat().st_size // PAGE) for p in shop.rglob("*") if p.is_file())


def test_make_on_a_full_drive(shop):
    """Whatever room there is: all files, or a sentence and what was there before."""
    codes = []
    for room in range(7):
        code, said, same = mounted(shop, "full", (pages(shop) + room) * PAGE, *MAKE)
        codes.append(code)
        if code:
            assert said == [
                OLDER,
                "job: cannot be written (No space left on device); choose another place with --out",
            ]
            assert same
        else:
            assert not same
    assert codes[:3] == [2, 2, 2]
    assert codes[-1] == 0
    assert codes == sorted(codes, reverse=True)


def test_a_reading_on_a_full_drive(shop):
    code, said, same = mounted(shop, "full", pages(shop) * PAGE, *READING)
    assert code == 2
    assert said == ["job-readings.csv: cannot be written: the disk is full; the reading is not stored"]
    assert same
    code, said, same = mounted(shop, "full", (pages(shop) + 1) * PAGE, *READING)
    assert (code, said, same) == (0, [], False)


@pytest.mark.parametrize(
    ("kind", "why"), [("read-only", "Read-only file system"), ("unwritable", "Permission denied")]
)
@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (MAKE, "job: cannot be written ({why}); choose another place with --out"),
        (
            (*MAKE, "--out", "new/folder"),
            "new/folder: cannot be written ({why}); choose another place with --out",
        ),
        (READING, "job-readings.csv: cannot be written: {why}{close}; the reading is not stored"),
        (("new", "other.toml"), "other.toml: cannot be written ({why}); choose another place"),
        (("plot", "job.toml"), ".: cannot be written ({why}); choose another place with --out"),
        (
            ("pistons", "job.toml", "--record", "record.pdf"),
            ".: cannot be written ({why}); choose another place with --out",
        ),
    ],
    ids=["make", "make into a new folder", "reading", "new", "plot", "record"],
)
def test_a_place_that_cannot_be_written(kind, why, arguments, says, shop):
    code, said, same = mounted(shop, kind, 1_000_000, *arguments)
    close = "; close it in the spreadsheet or viewer" if kind == "unwritable" else ""
    older = [OLDER] if arguments == MAKE else []
    assert (code, said, same) == (2, [*older, says.format(why=why, close=close)], True)

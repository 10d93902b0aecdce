"""What the package loads, and how its time grows."""

import math
import subprocess
import sys
import time

from toolpath.checking.readback import Setup, readback
from toolpath.geometry.chain import Chain

HEAD = "G18 G21 G40 G90 G95\nG92 S1800\nG97 S1100 M03\nG00 Z50.0\nG00 X60.0\n"


def test_it_shares_no_motion_code_with_what_it_checks() -> None:
    code = "import sys, toolpath.checking.readback; print(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    ours = {name for name in loaded if name.split(".")[0] in ("toolpath", "postprocessors")}
    allowed = ("toolpath.checking", "toolpath.geometry", "toolpath.errors", "toolpath.findings")
    assert {name for name in ours if not name.startswith(allowed)} == {"toolpath"}
    assert not loaded & {"shapely", "pydantic", "matplotlib", "scipy", "click"}


def test_time_grows_with_the_length_of_the_program() -> None:
    """Ten times the blocks in at most twenty times the time, and a usual program at once."""

    face = Chain.flat(0.0, 45.2)
    setup = Setup("iso6983", "mm", "diameter", "face-outer", 5.0, face, face, 0.0, 45.2, 0.0, 3)

    def seconds(blocks: int) -> float:
        path = "".join(
            f"G01 X{10 + 54 * abs(math.sin(k / 40)):.3f} Z{-3.0 * k / blocks:.4f} F0.1\n"
            for k in range(blocks)
        )
        best = math.inf
        for _ in range(2):
            start = time.perf_counter()
            readback(HEAD + path + "M30\n", setup)
            best = min(best, time.perf_counter() - start)
        return best

    short = seconds(200)
    assert short < 0.3
    assert seconds(20_000) < 20 * max(seconds(2_000), 0.02)

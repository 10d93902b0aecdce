"""What the package loads, and how its time grows."""

import subprocess
import sys

HEAD = "G18 G21 G40 G90 G95\nG92 S1800\nG97 S1100 M03\nG00 Z50.0\nG00 X60.0\n"


def test_it_shares_no_motion_code_with_what_it_checks() -> None:
    code = "import sys, toolpath.readback.verdict; print(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    ours = {name for name in loaded if name.split(".")[0] in ("toolpath", "postprocessors")}
    allowed = (
        "toolpath.readback",
        "toolpath.geometry",
        "toolpath.errors",
        "toolpath.findings",
        "toolpath.units",
    )
    assert {name for name in ours if not name.startswith(allowed)} == {"toolpath"}
    assert not loaded & {"shapely", "pydantic", "matplotlib", "scipy", "click"}

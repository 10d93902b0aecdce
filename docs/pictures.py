"""Make the pictures of the README: `python docs/pictures.py`."""

from pathlib import Path

from toolpath.api import load_job
from toolpath.output.files import files_of
from toolpath.recut import resolve
from toolpath.reference import folder

HERE = Path(__file__).parent


def pictures() -> dict[str, bytes]:
    """PNG files by name: section and corner of the worked example."""
    recut = resolve(load_job(folder("samples") / "pump-engine.toml"))
    files = files_of(recut, "pump", proving=None, job_file="pump.toml").files
    return {name: files[f"pump-{name}"] for name in ("section.png", "corner.png")}


if __name__ == "__main__":
    for name, content in pictures().items():
        (HERE / name).write_bytes(content)

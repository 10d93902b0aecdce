"""What a folder holds, to see that nothing in it was touched."""

from collections.abc import Iterator
from pathlib import Path


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, by name, with its bytes."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in _files(folder)}


def _files(folder: Path) -> Iterator[Path]:
    return (p for p in sorted(folder.rglob("*")) if p.is_file() and not p.is_symlink())

"""Writers by name: built in, from an entry point, unknown."""

from importlib.metadata import EntryPoint

import pytest

from postprocessors import BUILT_IN, GROUP, find
from postprocessors.recording import RecordingWriter
from toolpath.errors import DialectError


@pytest.fixture
def installed(monkeypatch):
    """Pretends that packages with these entry points are installed."""

    def install(**targets: str) -> None:
        points = [EntryPoint(name, target, GROUP) for name, target in targets.items()]
        monkeypatch.setattr(
            "importlib.metadata.entry_points", lambda *, group: points if group == GROUP else []
        )

    return install


@pytest.mark.parametrize("name", ["iso6983", "system-a", "rs274ngc"])
def test_built_in_needs_no_scan(monkeypatch, name):
    monkeypatch.setattr("importlib.metadata.entry_points", None)  # calling it would raise
    assert find(name) is BUILT_IN[name]
    assert name == find(name).NAME


def test_entry_point(installed):
    installed(recording="postprocessors.recording:RecordingWriter")
    assert find("recording") is RecordingWriter


def test_built_in_cannot_be_replaced(installed):
    installed(iso6983="postprocessors.recording:RecordingWriter")
    assert find("iso6983") is BUILT_IN["iso6983"]


def test_unknown_name_failure(installed):
    installed(zeta="x:Y", other="x:Y")
    known = "known are iso6983, system-a, rs274ngc, rs274-lathe, other, zeta"
    with pytest.raises(DialectError, match=f"no postprocessor 'iso'; {known}"):
        find("iso")


@pytest.mark.parametrize(
    ("target", "message"),
    [
        pytest.param("no_such_module:Writer", "cannot be loaded: No module named", id="no-module"),
        pytest.param("postprocessors.recording:Nobody", "cannot be loaded: .*Nobody", id="no-class"),
        pytest.param("postprocessors.numbers:fixed", "must be a subclass of Writer", id="function"),
        pytest.param("builtins:str", "must be a subclass of Writer", id="other-class"),
    ],
)
def test_entry_point_failure(installed, target, message):
    installed(mine=target)
    with pytest.raises(DialectError, match=f"postprocessor 'mine' {message}"):
        find("mine")

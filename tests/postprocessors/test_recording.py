"""The recording writer keeps what its hooks were called with."""

from postprocessors.recording import RecordingWriter
from toolpath.moves import Arc, Coolant, FixedSpeed, Line, Rapid, SpeedCap, SpindleStop, Stop, SurfaceSpeed


def test_calls_are_plain_tuples(program):
    writer = RecordingWriter(
        program(
            SpeedCap(1800.0),
            FixedSpeed(900.0, "cw"),
            SurfaceSpeed(250.0),
            Rapid(x=20.0),
            Rapid(z=1.0),
            Line(20.0, -1.0, 0.1),
            Arc(30.0, 4.0, 0.0, 5.0, False, 0.1),
            Stop(True, "look"),
            Coolant(False),
            SpindleStop(),
            title="",
            lines=(),
            program_number=None,
        )
    )
    assert "arc 30.0 4.0 0.0 5.0 False 0.1" in writer.text().splitlines()
    assert writer.calls[1:] == [
        ("head",),
        ("speed_cap", "1800"),
        ("fixed_speed", "900"),
        ("spindle_start", "cw"),
        ("surface_speed", "250", "1800"),
        ("rapid", 20.0, None),
        ("rapid", None, 1.0),
        ("line", 20.0, -1.0, 0.1),
        ("arc", 30.0, 4.0, 0.0, 5.0, False, 0.1),
        ("comment", "look"),
        ("stop", True),
        ("coolant", False),
        ("spindle_stop",),
        ("end",),
    ]

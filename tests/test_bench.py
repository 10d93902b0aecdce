"""What the bench measures is there to be measured; how long it takes is no test's business."""

from tests.bench import inside

BLOCKS = 300


def test_the_long_program_is_read_and_does_the_job() -> None:
    """It once looked for a comment and a field that had other names by then."""
    text, setup = inside.long_program(BLOCKS)
    assert inside.read_ours(text, setup) > BLOCKS // 2
    inside.read_back(text, setup)

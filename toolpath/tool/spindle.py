"""The sense in which the spindle must turn, and the words for it."""

from toolpath.job.model import Job
from toolpath.moves import Sense


def spindle_sense(job: Job) -> Sense:
    """The sense in which the work meets the insert's face.

    Front tool, face up: the near side of the work must come down on it, which is clockwise seen
    from the headstock; each of rear and face down turns it round (ISO 841 for M03: from memory).
    """
    turned = (job.machine.tool_side == "rear") != (job.machine.insert_face == "down")
    return "ccw" if turned else "cw"


def spindle_words(job: Job) -> str:
    """The sense in words, for the head of the program and the sheet."""
    sense = spindle_sense(job)
    way = "clockwise" if sense == "cw" else "counter-clockwise"
    near = "comes down towards" if sense == "cw" else "goes up from"
    return (
        f"Spindle {way} seen from the headstock towards the work; the near side {near} the operator "
        f"({job.machine.tool_side} tool, insert face {job.machine.insert_face})"
    )

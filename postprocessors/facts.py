"""What a writer from outside must have: its facts, one sentence where one is missing or cannot be."""

import re
from collections.abc import Callable

from postprocessors.writer import Writer

_UNITS = ("mm", "inch")


def _decimals(value: object) -> bool:
    return (
        isinstance(value, dict)
        and set(value) == set(_UNITS)
        and all(type(count) is int and 1 <= count <= 9 for count in value.values())
    )


def _pattern(value: object) -> bool:
    try:
        return isinstance(value, str) and bool(re.compile(value))
    except re.error:
        return False


def _m_words(value: object) -> bool:
    return isinstance(value, dict) and all(
        isinstance(word, str) and re.fullmatch(r"M\d{1,4}", word, re.ASCII)
        for pair in value.items()
        for word in pair
    )


_FACTS: dict[str, tuple[Callable[[object], bool], str]] = {
    "NAME": (lambda v: isinstance(v, str) and bool(v), "the name of its entry point"),
    "READS_AS": (lambda v: isinstance(v, str), "the name of a dialect that the readback knows"),
    "SURFACE_SPEED": (lambda v: isinstance(v, bool), "True or False"),
    "FEED_PER_REV": (lambda v: isinstance(v, bool), "True or False"),
    "X_READING": (lambda v: v in ("diameter", "radius"), '"diameter" or "radius"'),
    "DECIMALS": (_decimals, '1 to 9 decimals for "mm" and "inch"'),
    "FEED_DECIMALS": (_decimals, '1 to 9 decimals for "mm" and "inch"'),
    "EXTENSION": (
        lambda v: isinstance(v, str) and bool(re.fullmatch(r"\.[A-Za-z0-9]{1,8}", v)),
        'a point and up to eight letters, such as ".nc"',
    ),
    "WORK_OFFSET": (_pattern, "a regular expression"),
    "TOOL_WORD": (_pattern, "a regular expression"),
    "TOOL": (lambda v: isinstance(v, str), "the words of a tool call"),
    "WORDS": (_m_words, 'M words with the word that each means, such as {"M51": "M08"}'),
}


def fault_of(name: str, writer: object) -> str:
    """What is wrong with a writer that was found under a name; "" where nothing is."""
    if not (isinstance(writer, type) and issubclass(writer, Writer)):
        return "must be a subclass of Writer"
    missing = sorted(writer.__abstractmethods__)
    if missing:
        return f"lacks the hook {missing[0]}; see postprocessors/writer.py"
    for fact, (right, wanted) in _FACTS.items():
        value = getattr(writer, fact, None)
        if value is None:
            return f"lacks the fact {fact}; it must be {wanted}"
        if not right(value):
            return f"has the fact {fact} = {value!r}; it must be {wanted}"
    if name != writer.NAME:
        return f"has the fact NAME = {writer.NAME!r}; it must be the name of its entry point"
    return ""

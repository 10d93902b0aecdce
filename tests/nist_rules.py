"""What an interpreter to the letter of NIST IR 6556 would refuse.

"The NIST RS274/NGC Interpreter - Version 3", 17 Aug 2000; section numbers beside the checks.
"""

import re
from math import hypot

# Table 4 of the report
MODAL_GROUPS = {
    "motion": "G0 G1 G2 G3 G38.2 G80 G81 G82 G83 G84 G85 G86 G87 G88 G89",
    "plane": "G17 G18 G19",
    "distance": "G90 G91",
    "feed": "G93 G94",
    "units": "G20 G21",
    "radius compensation": "G40 G41 G42",
    "length offset": "G43 G49",
    "return": "G98 G99",
    "coordinates": "G54 G55 G56 G57 G58 G59 G59.1 G59.2 G59.3",
    "path": "G61 G61.1 G64",
    "non-modal": "G4 G10 G28 G30 G53 G92 G92.1 G92.2 G92.3",
    "stop": "M0 M1 M2 M30 M60",
    "tool": "M6",
    "spindle": "M3 M4 M5",
    "coolant": "M7 M8 M9",
    "overrides": "M48 M49",
}
GROUP_OF = {code: group for group, codes in MODAL_GROUPS.items() for code in codes.split()}


def faults(text: str) -> list[str]:
    """What an interpreter to the letter of the report would refuse, a sentence each."""
    found: list[str] = []
    lines = text.splitlines()
    percents = [n for n, line in enumerate(lines) if line.strip() == "%"]
    if percents not in ([], [0, len(lines) - 1]):  # 3.1
        found.append(f"percent lines at {percents}")
    at: dict[str, float] = {}
    inch, ended, motion = False, False, ""
    for line in lines:
        if line.strip() == "%":
            continue
        if len(line) > 256:  # 3.3
            found.append(f"{len(line)} characters")
        comments = re.findall(r"\([^()]*\)", line)  # 3.3.4: closed on the line, not nested
        rest = re.sub(r"\([^()]*\)", "", line).replace(" ", "").upper()
        found += [f"operator message {c}" for c in comments if re.match(r"\(\s*MSG,", c, re.IGNORECASE)]
        words = re.findall(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))", rest)
        if "".join(letter + value for letter, value in words) != rest:  # 3.3.2
            found.append(f"not only words: {line}")
            continue
        if words and ended:
            found.append(f"after the end: {line}")
        if words and words[0][0] == "N":  # 3.3.1
            if not re.fullmatch(r"\d{1,5}", words[0][1]):
                found.append(f"line number {words[0][1]}")
            words = words[1:]
        codes = [f"{letter}{float(value):g}" for letter, value in words if letter in "GM"]
        others = {letter: float(value) for letter, value in words if letter not in "GM"}
        found += [f"letter {letter}" for letter in others if letter not in "ABCDFHIJKLPQRSTXYZ"]  # Table 3
        found += [f"unknown {code}" for code in codes if code not in GROUP_OF]
        groups = [GROUP_OF[code] for code in codes if code in GROUP_OF]
        if len(set(groups)) < len(groups) or len(others) < len(words) - len(codes):  # 3.3.5
            found.append(f"repeated in {line}")
        inch = "G20" in codes or (inch and "G21" not in codes)
        motion = next((c for c in codes if GROUP_OF.get(c) == "motion"), motion)
        ended = ended or bool({"M2", "M30"} & set(codes))
        axes = {a: others[a] for a in "XYZ" if a in others}
        if any(GROUP_OF.get(c) == "motion" for c in codes) and not axes:  # 3.5.1, 3.5.2
            found.append(f"no axis word in {line}")
        if axes and (not motion or "non-modal" in groups):
            found.append(f"axis words without motion in {line}")
        if {"G41", "G42"} & set(codes) or any(others.get(w, 1) < 0 for w in "FS"):  # 3.5.10, 3.7.2
            found.append(f"refused in {line}")
        if axes and motion in ("G2", "G3"):
            found += _arc_faults(line, others, at, 0.0002 if inch else 0.002)
        elif {"I", "J", "K", "R"} & set(others):
            found.append(f"centre without arc in {line}")
        at |= axes
    if not ended and not percents:
        found.append("no end")
    return found


def _arc_faults(line: str, words: dict[str, float], at: dict[str, float], tolerance: float) -> list[str]:
    """3.5.3.2: I or K in the XZ plane, from a known start, equal radii."""
    if "J" in words or not ({"I", "K"} & set(words)) or not {"X", "Z"} <= set(at):
        return [f"arc form of {line}"]
    i, k = words.get("I", 0.0), words.get("K", 0.0)
    end_x, end_z = words.get("X", at["X"]), words.get("Z", at["Z"])
    apart = abs(hypot(i, k) - hypot(end_x - at["X"] - i, end_z - at["Z"] - k))
    return [f"radii {apart} apart in {line}"] if apart > tolerance else []

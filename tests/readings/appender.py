"""Append readings until killed; say each number only after it is stored. Run: appender.py FILE PISTON."""

import sys
from pathlib import Path

from toolpath.readings.log import Reading, append

if __name__ == "__main__":
    path, piston = Path(sys.argv[1]), int(sys.argv[2])
    count = int(sys.argv[3]) if len(sys.argv) > 3 else 10**9
    for k in range(count):
        stored = append(path, Reading(piston, "first", "burette", 11000.0 + k, note="x" * (k % 50)))
        sys.stdout.write(f"{stored.number} {k}\n")
        sys.stdout.flush()

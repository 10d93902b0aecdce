"""Generator and second cutter are plain modules beside their tests."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

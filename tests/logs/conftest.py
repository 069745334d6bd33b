"""The helpers of tests/app run the program here too."""

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1] / "app")]

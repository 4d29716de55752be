"""Lets the browser tests use the pages made for ``tests/pages``, and the picture script."""

import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent / "pages")]

"""Lets the tests of the pages share what ``page_making`` makes."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

"""Lets the tests of the sheet share what makes random ones."""

from __future__ import annotations

import sys
from pathlib import Path

# test folders are no packages
sys.path.insert(0, str(Path(__file__).parent))
collect_ignore = ["random_sheets.py"]

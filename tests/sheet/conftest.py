"""Lets the tests of the sheet share a sample and what reads a PDF."""

from __future__ import annotations

import sys
from pathlib import Path

# test folders are no packages
sys.path.insert(0, str(Path(__file__).parent))
collect_ignore = ["sheet_samples.py", "pdf_text.py"]

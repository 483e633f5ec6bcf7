"""Lets the tests of handwheel sheets share what reads, judges and makes them, and small jobs."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.bench_jobs import job_of, plan_of

__all__ = ["job_of", "plan_of"]
# test folders are no packages
sys.path.insert(0, str(Path(__file__).parent))
collect_ignore = ["sheet_reading.py", "sheet_judging.py", "hand_texts.py"]

"""Benchmarks are scripts: what one of them imports lies beside it."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

"""Tests of drawings from outside."""

# Loaded by test_hostile.py.
collect_ignore = ["hostile_drawings.py"]

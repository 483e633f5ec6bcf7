"""Tests of drawings from outside."""

# Loaded by the tests of the same names.
collect_ignore = ["demo_drawings.py", "hostile_drawings.py"]

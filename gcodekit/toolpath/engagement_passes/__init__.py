"""Clearing at constant engagement: the cutter meets the metal at one angle from entry to the last
pass."""

"""Clearing at an even load: the cutter meets the metal at one angle from entry to the last pass."""

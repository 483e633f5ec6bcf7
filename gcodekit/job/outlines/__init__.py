"""Outlines, paths, places and copies, from the words of a file to geometry."""

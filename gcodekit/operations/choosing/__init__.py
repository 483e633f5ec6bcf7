"""Which cutters a feature is cut with, and why: the rack looked through."""

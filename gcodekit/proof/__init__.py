"""Programs held against the drawing: from their text alone, by code the planner does not use."""

"""The choice of cutters from the rack for a feature, and the reasons."""

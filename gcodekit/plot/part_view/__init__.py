"""The finished part in space: a dimetric view drawn from its solid, hidden lines removed."""

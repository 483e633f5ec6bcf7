"""The workshop file: a machine, its rack, materials of its own."""

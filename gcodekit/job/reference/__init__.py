"""The reference and the JSON Schema, made from the keys."""

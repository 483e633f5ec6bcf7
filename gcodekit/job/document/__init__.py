"""A file from disk to TOML values with their lines; what is wrong with text that is not TOML."""

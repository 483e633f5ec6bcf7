"""The whole reference as one HTML page, with a picture of each kind of feature."""

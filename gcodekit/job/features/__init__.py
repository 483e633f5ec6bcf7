"""Features and their depths, cutting and sizes, from the words of a file to the model."""

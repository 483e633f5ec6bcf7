"""Paper for the bench: one model of a sheet, written as HTML, PDF and plain text."""

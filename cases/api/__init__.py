"""API of the case file."""

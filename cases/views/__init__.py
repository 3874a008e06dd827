"""Pages of the case file."""

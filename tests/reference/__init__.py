"""Published values with their sources, run through the methods."""

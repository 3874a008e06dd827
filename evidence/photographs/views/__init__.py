"""Pages of the photograph log."""

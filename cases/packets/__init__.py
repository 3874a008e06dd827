"""Report and release packets."""

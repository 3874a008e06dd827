"""Template tags and filters that every page may use."""

"""Template tags and filters for photographs."""

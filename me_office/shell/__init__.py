"""Page frame, components, errors."""

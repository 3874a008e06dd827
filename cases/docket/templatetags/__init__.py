"""Words of the board in templates."""

"""Pages of the examination."""

"""Pages of exhibits."""

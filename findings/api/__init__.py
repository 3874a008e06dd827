"""API of the examination: each endpoint checks shape, makes one call, and prints the answer."""

"""API of photographs: each endpoint checks shape, makes one call, and prints the answer."""

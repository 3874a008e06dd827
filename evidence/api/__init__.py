"""API of evidence: each endpoint checks shape, makes one call, and prints the answer."""

"""Long work that a person asked for: one record a request, made by a worker, seen as it goes."""

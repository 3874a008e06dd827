"""Letters of a request: the office's templates, letters from them, how each was sent."""

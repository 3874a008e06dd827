"""The internal examination by body system, the office's templates for it, and the slides read."""

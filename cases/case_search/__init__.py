"""One search over all that a case holds."""

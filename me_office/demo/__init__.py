"""An invented office for a try-out."""

"""Standing explanations: short answers to what a witness is usually asked about a picture."""

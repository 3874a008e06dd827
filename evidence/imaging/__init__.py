"""Pixels: what a picture file is, what its camera wrote, smaller copies, squares. No Django."""

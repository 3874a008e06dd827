"""Organ weights, beside published references."""

"""Seals, transfers and the chain of custody."""

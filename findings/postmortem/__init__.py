"""Lividity and rigor by region: what was seen, what is asked, how the report says it."""

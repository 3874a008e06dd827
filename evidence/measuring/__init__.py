"""Lengths measured in photographs, and the copies that are derived from them."""

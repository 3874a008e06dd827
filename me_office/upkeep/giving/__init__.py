"""Giving an office up: everything out, in open formats that need nothing of this software."""

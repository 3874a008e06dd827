"""Subpoenas, records requests, releases."""

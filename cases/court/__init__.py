"""Subpoenas and records requests: what was asked for, what was released, when and to whom."""

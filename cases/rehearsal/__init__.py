"""Rehearsing what a witness is asked on each exhibit; work notes that are never released."""

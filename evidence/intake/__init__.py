"""Photographs come in: single files and whole cards, by the open tus protocol."""

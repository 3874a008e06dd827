"""Specimens, those of others too, and the kits and trays that hold several of them."""

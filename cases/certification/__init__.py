"""Cause and manner of death, as the certificate asks for them."""

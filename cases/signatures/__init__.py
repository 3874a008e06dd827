"""Signatures that anybody can check: certificates, signed documents, what a code says."""

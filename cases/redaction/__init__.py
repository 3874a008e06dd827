"""Redaction of documents that may go out: words and areas, gone for good from a copy."""

"""Exhibits for court: sets, presentation, redacted copies."""

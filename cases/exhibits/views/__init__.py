"""Pages of exhibit sets, their exhibits, the courtroom screen and redacted copies."""

"""The report of examination, peer review, sign-off, addenda and amendments."""

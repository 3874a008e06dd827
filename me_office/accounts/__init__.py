"""Staff, roles, sign-in."""

"""Who works here: staff, roles, sign-in, second factor."""

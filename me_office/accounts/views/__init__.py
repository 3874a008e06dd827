"""Pages of accounts: a person's own, and everybody's for administrators."""

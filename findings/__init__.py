"""The examination: findings, layers, marks, organs."""

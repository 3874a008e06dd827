"""The conditions themselves, a module a part of the office; each registers what it looks at."""

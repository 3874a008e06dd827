"""Who, when, what and why, on every edit."""

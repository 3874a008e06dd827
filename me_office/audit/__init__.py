"""The audit trail: who, when, what and why on every edit, and the frame of every action."""

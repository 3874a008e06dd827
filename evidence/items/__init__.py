"""What every kept item shares: its number, its kind, who receives it, how it is withdrawn."""

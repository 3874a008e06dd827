"""The trade's terms and the office's own, and the sentences made of what was found."""

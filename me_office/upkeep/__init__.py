"""What keeps the office running: is everything here that it needs, and what to do where not."""

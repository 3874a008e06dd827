"""PDF without Django: pages, words and their places, what is burned in, and what is checked after."""

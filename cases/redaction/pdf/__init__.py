"""PDF without Django: pages, words and their places, bars burned in, and what is checked after."""

"""An invented office for a try-out, played by the office's own actions."""

"""What is known of cameras' clocks: corrected times beside those that were recorded."""

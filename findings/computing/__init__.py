"""The office's side of the calculations: run them from the case file, keep what they gave."""

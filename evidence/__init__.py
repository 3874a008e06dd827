"""What is kept of a case: photographs, specimens, things, and the files that hold the pictures."""

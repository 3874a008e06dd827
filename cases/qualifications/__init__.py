"""What members of staff bring to the stand: training, licenses, and what the office counted."""

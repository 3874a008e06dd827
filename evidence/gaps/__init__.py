"""What the photograph log misses or proposes, and what a person set aside with the reason."""

"""What the photograph log lacks or proposes, and a person set aside with the reason."""

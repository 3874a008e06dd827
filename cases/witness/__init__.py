"""What the record answers when a witness is led through an exhibit."""

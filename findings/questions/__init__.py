"""What the record is asked: negative statements, and what in it speaks against another part."""

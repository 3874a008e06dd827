"""Rules by which days are counted, closures of courts, and a date counted with its steps."""

"""Django's own way to PostgreSQL, which writes its statements in less time."""

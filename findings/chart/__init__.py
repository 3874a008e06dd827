"""The body chart: its page, its views, where a mark lies, its printed sheets."""

"""The answer to a request: numbered pages, its delivery, each page found again."""

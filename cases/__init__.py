"""The case file: from the first call to the release."""

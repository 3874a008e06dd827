"""The same work in three browser engines, in one office: `make engines`."""

"""Which version of the software this is; CHANGES.md says what an administrator does for it."""

VERSION = "1.1.0"

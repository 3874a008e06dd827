"""The body leaves the office: holds, release, return, cremation approval, final disposition."""

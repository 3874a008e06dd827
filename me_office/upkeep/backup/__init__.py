"""The office copied away while people work, and put up again from the copy.

Files never change and are in their place before their row can be seen, so the database is copied
first, in one snapshot: whatever its rows name is there. What came later, or no row names, is
copied too and listed as such. Everything is sealed by age (age-encryption.org/v1) for keys whose
secret half is not on this machine; the database is in pg_dump's custom format. The manifest is
written last: a folder without one is no backup.
"""

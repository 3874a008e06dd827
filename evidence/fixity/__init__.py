"""Reading the store again: is every file there, and does it still have its digest?"""

"""The examination: what was found, where on the body, how deep, and what is made of it."""

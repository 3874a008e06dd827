"""Properties, limits and outside references of the calculations."""

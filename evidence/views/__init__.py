"""Pages of photographs, specimens and property."""

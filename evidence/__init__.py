"""Items of evidence: photographs, specimens, property."""

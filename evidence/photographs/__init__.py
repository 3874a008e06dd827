"""The photograph log: photographs, what they show, series, the viewer."""

"""The measurements: an invented office of any size, and how long its pages take."""

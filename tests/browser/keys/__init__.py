"""Each user's main work by keys alone, with what is heard: `make keys`."""

"""Numbers for the office's own watch, in Prometheus' text format: requests, jobs, store."""

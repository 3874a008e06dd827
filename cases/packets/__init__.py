"""What leaves the office: the report as a PDF, and the packet that others check by themselves."""

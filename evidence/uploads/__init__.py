"""Files sent in pieces by the open tus protocol, and taken in as photographs."""

"""Template words of photographs."""

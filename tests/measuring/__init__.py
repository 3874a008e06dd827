"""Measuring in photographs."""

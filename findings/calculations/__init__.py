"""The arithmetic of the trade: pure, typed, one module a method, no Django."""

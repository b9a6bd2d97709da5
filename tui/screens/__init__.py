"""The desk, and what is laid over it."""

"""The window, the setting with the best chance, and the passes in order."""

"""Longer work in a process of its own: artwork, previews, simulations, papers. No terminal in here."""

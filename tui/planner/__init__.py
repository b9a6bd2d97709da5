"""The core asked for a plan, in a process of its own. No terminal in here."""

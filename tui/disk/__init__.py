"""What the screen stores itself: settings, drafts, the last machine, saved jobs."""

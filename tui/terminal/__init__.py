"""What this terminal is asked and answers, and the images that it shows over cells."""

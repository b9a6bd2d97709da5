"""4  The artwork: how large it is, where it goes, how it lands."""

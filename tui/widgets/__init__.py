"""What the desk is made of: a form, panels of lines, small questions."""

"""The artwork redrawn slice by slice, as files that an ordinary marking program opens."""

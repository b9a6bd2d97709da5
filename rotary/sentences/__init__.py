"""What a plan says in sentences; its stages hold ids and values, and nothing is ever read back from here.

==============  ====================================================================
``cautions``    what must be said before a job is run, in whole and in short
``focus``       the lines of the focus budget, and what has to be known of the focus
``slices``      the limits of the slice width, and what has to be known of the split
==============  ====================================================================
"""

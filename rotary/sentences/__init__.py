"""What a plan says in sentences; its stages hold ids and values, and nothing is ever read back from here.

==============  ====================================================================
``cautions``    what must be said before a job is run, in whole and in short
``artwork``     how the artwork lies on the item
``laser``       what has to be known of the beam
``focus``       the lines of the focus budget, and what has to be known of the focus
``slices``      the limits of the slice width, and what has to be known of the split
``passes``      the first line of the passes, what to look for, what is done before and after
``run_texts``   how the passes on a coating are run, step by step
``plan``        a plan with its sentences, for other programs
==============  ====================================================================
"""

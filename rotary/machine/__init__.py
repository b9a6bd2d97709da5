"""The machine: what this machine really does, from tape and calipers; and an item taken off.

`readings` are what a person reads, `quantities` what they tell, `record` folds them, `store` keeps them;
`correct` gives the job and sheet that the plan then uses; `strip` is the seam strip, `tapes` the drawings of
everything else; `level` helps to level and focus, `matters` says what is worth measuring, `resume` what is left
of a stopped job. Heavy parts are imported where they are used.
"""

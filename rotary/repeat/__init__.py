"""A repeat: the numbers that were run are printed again, and never a new plan's in their place.

=======================  ==================================================================
module                   question answered
=======================  ==================================================================
:mod:`~.run`             what was typed and done, as a profile and the logbook store it?
:mod:`~.standing`        do those numbers still count, and which are printed?
:mod:`~.run_plan`        which plan draws the files that fit them?
:mod:`~.rebuilt_actions` what did an older tool not store, and what would it have been?
:mod:`~.rule_changes`    which rules changed since then, and does one touch this proof?
:mod:`~.today`           how do its actions read today, and what comes next?
:mod:`~.checks`          what is looked at before an item is run again?
:mod:`~.lines`           what is said before the sheet?
:mod:`~.paper`           the sheet, in every form
=======================  ==================================================================
"""

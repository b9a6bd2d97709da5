"""9  Item profiles: what was proven on an item is there next month, on the next machine, for the colleague.

========================  ==================================================================
module                    question answered
========================  ==================================================================
:mod:`~.record`           what is stored of an item?
:mod:`~.profile_text`     how does the file read?
:mod:`~.formats`          what is in a file, of whichever format, and what is wrong on which line?
:mod:`~.places`           where does it lie, and how is it made sure that nothing is written over?
:mod:`~.profiles`         save, open, copy, rename
:mod:`~.history`          versions, going back, choosing between two, the bin, mending
:mod:`~.additions`        how does a proof, a reading or a remark get into a profile?
:mod:`~.proof_readings`   which readings of patches and of the machine go along with a proof?
:mod:`~.spare`            how does what was deleted or spoiled by hand come back?
:mod:`~.changes`          what differs, in the units that are shown?
:mod:`~.proof`            does a proof still count?
:mod:`~.index`            the list, quickly
:mod:`~.near_profiles`    which profile is it, which is nearest?
:mod:`~.logbook`          what was run, when, with what outcome, and how many in all
:mod:`~.transfer`         to another machine and back, without trusting what comes in
========================  ==================================================================
"""

"""From a measured round item to the numbers to key in.

====  ==========================  ====================================================
step  module                      question answered
====  ==========================  ====================================================
1     :mod:`rotary.item`          what is turned?
2     :mod:`rotary.turning`         what turns it, and what does a step mean?
3     :mod:`rotary.laser`          what is the beam like?
4     :mod:`rotary.artwork`       where does the artwork lie, how is it distorted?
5     :mod:`rotary.slices`        how wide may a slice be, and what is keyed in?
6     :mod:`rotary.focus`         how high is the apex, where goes the focal plane?
7     :mod:`rotary.passes`        which passes lift the coating and spare the metal?
8     :mod:`rotary.card`          the plan as papers
9     :mod:`rotary.store`         what was proven, is it there next month?
====  ==========================  ====================================================

:func:`rotary.plan.plan` runs 1 to 7 in this order; :mod:`rotary.safety` says what to beware of.

What is made of a plan, and what the machine really does:

==========================  ==================================================================
module                      question answered
==========================  ==================================================================
:mod:`rotary.sheet`         what does the artwork look like, redrawn slice by slice?
:mod:`rotary.template`      which paper, taped round the item, shows where it will lie?
:mod:`rotary.exports`       how is it written as dots, or as lines, for programs without SVG?
:mod:`rotary.witness`       by which two ticks is an item that was re-mounted found again?
:mod:`rotary.simulate`      what will a written file do on this item?
:mod:`rotary.services`      what does every front end do: plan, write, simulate, print, prove?
:mod:`rotary.series`        a list of names on items that are all alike: which files, which table?
:mod:`rotary.inscription`   what fits on a small part, and can it be read?
:mod:`rotary.machine`       what does this machine really do, by tape and calipers?
==========================  ==================================================================
"""

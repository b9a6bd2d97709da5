"""From a measured round item to the numbers to key in.

====  ==========================  ====================================================
step  module                      question answered
====  ==========================  ====================================================
1     :mod:`rotary.item`          what is turned?
2     :mod:`rotary.drive`         what turns it, and what does a step mean?
3     :mod:`rotary.head`          what is the beam like?
4     :mod:`rotary.artwork`       where does the artwork lie, how is it distorted?
5     :mod:`rotary.slices`        how wide may a slice be, and what is keyed in?
6     :mod:`rotary.focus`         how high is the apex, where goes the focal plane?
7     :mod:`rotary.passes`        which passes lift the coating and spare the metal?
8     :mod:`rotary.card`          the plan as papers
====  ==========================  ====================================================

:func:`rotary.plan.plan` runs them in this order; :mod:`rotary.safety` says what to beware of.
"""

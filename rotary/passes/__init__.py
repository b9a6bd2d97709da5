"""7  Passes: lifting a coating without marking the metal, or marking bare metal.

Beliefs (``beliefs``) are sampled, the window (``window``) is searched, the plan (``removal``)
is laid out in order. The proof patch and the learning from its readings have their place here.
"""

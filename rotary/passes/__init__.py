"""7  Passes: lifting a coating without marking the metal, or marking bare metal.

``beliefs``   what is assumed of coating, metal and machine, and random samples of it
``plan``      the window is searched, the setting chosen, the passes laid out in order
``learning``  readings of cells and depths, and what they teach
``patch``     the test patch: which cells, and how they are drawn
"""

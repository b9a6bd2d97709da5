"""Papers: one model of what stands on them, and the four writers that make files of it.

=======================  =========================================================================
``model``                a paper: head, what is read first, sections of a few kinds of blocks
``text``                 as lines of text, 100 columns wide, counted in ``cells``; or for a voice
``pages``, ``story``     as a PDF with reportlab's platypus: the first page set as large as it fits
``growth``               how large: the steps from roomy to full, and sheets of paper
``flowables``            numbers to type, boxes, lines to write on, pictures at true size
``html``                 as one HTML file with ``sheet.css``; ``counting.js`` counts with a person
``formats``              the kind of file that a name asks for; JSON
``drawing``              lines, areas and words in mm: what pictures are made of
``letters``, ``pdf``     the font of all papers, what it lacks; what a PDF is painted on
=======================  =========================================================================

A new paper is a function that returns a `Paper`: a list of sections, each a list of blocks, with `sentences.safe`'s
cautions first. `formats.document` makes any of the four files of it.
"""

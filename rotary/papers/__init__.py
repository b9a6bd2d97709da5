"""Papers: one model of what stands on them, one look, and the files they become.

=====================  ===========================================================================
``model``              a paper: head, what is read first, sections of a few kinds of blocks
``lines``, ``text``    as plain text, 100 columns wide, counted in ``cells``
``drawing``            lines, areas and words in mm: what pictures and pages are made of
``letters``            the font of all papers, how wide it runs, what it lacks
``typeset``            blocks set in type
``sheets``             A4 and Letter, head and foot, sections that flow from page to page
``onepage``            the first page set as large as it fits, and nothing cut off
``svg, pdf, html``     the files
``formats``            the kind of file that a name asks for
=====================  ===========================================================================

A front end makes a `Paper` and has `written` turn it into bytes.
"""

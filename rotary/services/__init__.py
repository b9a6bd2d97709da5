"""What every front end does with the core: command line, screen, questions in plain lines, browser.

=================  ==================================================================
``files``          sliced and flat files on disk, whole or not at all, read back
``simulation``     what a written file will do
``papers``         every paper, written where it was asked for
=================  ==================================================================
"""

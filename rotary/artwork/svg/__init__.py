"""SVG, from bytes to shapes in the order in which they are painted.

=============  ==========================================================
``tree``       bytes to elements, guarded
``css``        style sheets: rules and which elements they meet
``style``      what holds for one element: rules, attributes, inheritance
``document``   the drawing as a whole: elements by name, style sheet
``affine``     transforms and viewports
``lengths``    numbers and lengths
``pathdata``   path commands to an outline
``shapes``     the basic shapes to an outline
``paint``      fills, strokes, gradients
``scene``      what the walk hands on: painted shapes, clips, masks
``walk``       the walk over the elements
``regions``    clip paths and masks
``patterns``   drawings laid as tiles over a shape
``markers``    arrow heads and other marks on vertices
``words``      text elements, set with the text setter
``reader``     the file as a whole: its page, its painted shapes
=============  ==========================================================

Written from the SVG 1.1 and 2 recommendations of the W3C.
"""

"""What else is written from a plan: pictures made of dots, and lines for programs that open no SVG.

=============  ==========================================================
``models``     what is asked of a raster sheet, what comes out
``landing``    from commands back to the wall and to the flat picture
``trial``      the files that a coating is tried with
``dots``       a column of the sheet: cells, tones, dots
``png``        pages of dots as files
``greys``      the verb `raster_sheet`
``lines``      the verb `dxf_sheet`
=============  ==========================================================
"""

from rotary.exports.greys import raster_sheet
from rotary.exports.lines import dxf_sheet
from rotary.exports.models import RasterSheet, RasterWish

__all__ = ["RasterSheet", "RasterWish", "dxf_sheet", "raster_sheet"]

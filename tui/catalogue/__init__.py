"""Every field of the desk in the order of the flow, with what to measure, how, and with what."""

from typing import Final

from tui.catalogue.item import COATING, ITEM
from tui.catalogue.laser import HEAD
from tui.catalogue.passes import PASSES
from tui.catalogue.shop import SHOP
from tui.catalogue.turning import DRIVE
from tui.catalogue.work import ARTWORK, TOLERANCES
from tui.form.fields import with_defaults

GROUPS: Final = with_defaults((ITEM, DRIVE, HEAD, ARTWORK, COATING, PASSES, TOLERANCES, SHOP))

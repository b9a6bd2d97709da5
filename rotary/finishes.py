"""How the metal may look where a coating came off; a form loads this before any model."""

from typing import Literal

Finish = Literal["as before", "light matte", "any mark"]
"""As before: no visible change. Light matte: short of engraving. Any mark: short of cutting into it."""

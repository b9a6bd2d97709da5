"""What a person calls coatings and metals, and how the metal may look where one came off; a form loads this before any
model."""

from typing import Final, Literal

COATINGS: Final[dict[str, str]] = {
    "polyester-powder-dark": "powder coat, dark",
    "polyester-powder-light": "powder coat, light",
    "polyester-powder-metallic": "powder coat, metallic",
    "epoxy-powder": "epoxy powder coat",
    "epoxy-polyester-powder": "epoxy-polyester powder coat",
    "e-coat": "e-coat, thin and even",
    "ceramic-filled-paint": "ceramic-filled paint",
    "pvd-film": "PVD film",
    "air-dry-paint": "paint, air dried",
    "anodised-film": "anodised",
}
METALS: Final[dict[str, str]] = {
    "stainless-304": "stainless 304",
    "stainless-316": "stainless 316",
    "mild-steel": "mild steel",
    "carbon-steel-1095": "carbon steel 1095",
    "aluminium-6061": "aluminium 6061",
    "brass-c26000": "brass",
    "copper": "copper",
    "titanium-grade-5": "titanium grade 5",
}

Finish = Literal["as before", "light matte", "any mark"]
"""As before: no visible change. Light matte: short of engraving. Any mark: short of cutting into it."""

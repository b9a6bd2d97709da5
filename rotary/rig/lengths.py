"""Lengths in words, in the unit system that a person has chosen."""


def length_text(mm: float, system: str = "mm", signed: bool = False, places: int = 2) -> str:
    """A length with its unit; inches get two places more.

    >>> length_text(1.5), length_text(25.4, "in", signed=True)
    ('1.50 mm', '+1.0000 in')
    """
    sign = "+" if signed else ""
    # Adding zero turns a minus zero into a plain one.
    value, digits, unit = (mm / 25.4, places + 2, "in") if system == "in" else (mm, places, "mm")
    return f"{round(value, digits) + 0.0:{sign}.{digits}f} {unit}"

"""A value that can't be, with what was probably meant."""


def repair_text(text: str, likely: str, too_big: bool) -> str:
    """Which value is to blame, and its likely repair.

    >>> repair_text("88 m", "88 mm", True)
    '88 m is too big here. Did you mean 88 mm?'
    """
    says = f"{text.strip()} is too {'big' if too_big else 'small'} here."
    return f"{says} Did you mean {likely}?" if likely else says

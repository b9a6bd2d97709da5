"""Values of a model as a TOML file has them: texts in quotes, numbers with their units, tables in braces."""

import json
from datetime import datetime
from typing import Any

from rotary.model import Model, entry_of, quantity_of
from rotary.units import shortest_text


def value_text(value: Any, wanted: Any, timespec: str = "seconds") -> str:
    """A value of the field `wanted`, so that it reads back as exactly the same.

    >>> value_text("a", None), value_text((1, 2), None), value_text(True, None)
    ('"a"', '[1, 2]', 'true')
    """
    quantity = quantity_of(wanted)
    if isinstance(value, tuple):
        entries = [value_text(entry, entry_of(wanted), timespec) for entry in value]
        if value and isinstance(value[0], Model):
            return "[\n" + "".join(f"  {entry},\n" for entry in entries) + "]"
        return f"[{', '.join(entries)}]"
    if isinstance(value, Model):
        pairs = [
            f"{info.alias or name} = {value_text(getattr(value, name), info, timespec)}"
            for name, info in type(value).model_fields.items()
            if getattr(value, name) is not None and (info.is_required() or getattr(value, name) != info.default)
        ]
        return f"{{ {', '.join(pairs)} }}"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {toml_text(text)}' for key, text in value.items())} }}"
    if quantity:
        return f'"{shortest_text(value, quantity.unit)}"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime):
        return value.isoformat(timespec=timespec)
    return toml_text(value) if isinstance(value, str) else repr(value)


def toml_text(text: str) -> str:
    """A text in quotes, as TOML has it."""
    # JSON's escapes are TOML's; only the delete character needs one in TOML alone.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")

"""Values of a model as a TOML file has them: texts in quotes, numbers with their units, tables in braces; and what is
wrong with such a file, so that a person finds the line and knows what to write there."""

import json
import re
from datetime import datetime
from typing import Any, Final

from rotary.errors import brief
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


_AS_A_RULE: Final = 'write tables like [item] and lines like wall = "0.5 mm"'
_SLASH: Final = "between quotes write / instead of \\"
_QUOTE: Final = 'a quotation mark is missing. Write lines like wall = "0.5 mm"'
_ROW: Final = '{ at = "0 mm", across = "88 mm" }'
_TOML_HINTS: Final = {
    "Invalid value (at end": "a value, or the bracket ] after a list, is missing",
    "Invalid value": 'put the value and its unit in quotes like these: wall = "0.5 mm". If this line is right, a '
    "bracket ] is missing above it",
    "Expected newline": 'put the value and its unit in quotes, like wall = "0.5 mm". Begin a new line after a value, '
    "and after a table like [item]",
    "Illegal character '\\n'": _QUOTE,
    "Unterminated": _QUOTE,
    "Expected \"'": _QUOTE,
    "Unescaped": _SLASH,
    "Invalid hex value": _SLASH,
    "Cannot overwrite": "this name is in the file already. Write each name, and each table, only once",
    "twice": "this name is in the file already. Write each name, and each table, only once",
    "Unclosed array": "a comma between values, or the bracket ] after them, is missing",
    "Expected ']": "the bracket ] is missing",
    "Unclosed inline table": f"write each row in one line, like {_ROW}",
    "Invalid initial character": f"{_AS_A_RULE}, and rows in one line, like {_ROW}",
}
"""What to do about the reader's own words."""


def toml_trouble(source: str, trouble: Exception, instead: str = "") -> str:
    r"""What is wrong with a text of tables: which line can't be read, and what to write there, or to do `instead`.

    >>> toml_trouble("job.toml", ValueError("Unclosed array (at line 16, column 9)"))
    "line 16 of job.toml can't be read: a comma between values, or the bracket ] after them, is missing"
    >>> print(toml_trouble("job.toml", ValueError("Unescaped '\\' in a string (at line 3, column 9)")))
    line 3 of job.toml can't be read: between quotes write / instead of \
    """
    hint = next((hint for words, hint in _TOML_HINTS.items() if words in str(trouble)), _AS_A_RULE)
    return f"{unreadable(source, trouble)}: {instead or hint}"


def unreadable(source: str, trouble: Exception) -> str:
    """Which line of a text of tables can't be read."""
    says = "it is not plain text in UTF-8" if isinstance(trouble, UnicodeDecodeError) else str(trouble)
    place = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)$", says)
    if place is None:
        return f"{source} can't be read ({brief(says, 60)})"
    return f"{f'line {place[1]}' if place[1] else 'the last line'} of {source} can't be read"

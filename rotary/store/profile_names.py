"""Names: what a person calls a profile, when two names are the same, and what its folder may be called."""

import re
import unicodedata
from typing import Final

from rotary.errors import refuse

_SIGNS: Final = "abcdefghjkmnpqrstuvwxyz23456789"
"""Letters and figures that are not taken for each other."""

_LONGEST_SLUG: Final = 40


def checked_name(name: str) -> str:
    """A name as it is kept: one Unicode form, single blanks; raises Refused where nothing is left of it.

    >>> checked_name("  Pokal   Nº 5 ")
    'Pokal Nº 5'
    """
    from pydantic import TypeAdapter, ValidationError

    from rotary.store.record import Name

    adapter: TypeAdapter[str] = TypeAdapter(Name)
    try:
        return adapter.validate_python(name)
    except ValidationError as error:
        raise refuse("as", str(error.errors()[0]["ctx"]["error"])) from None


def same_name(name: str) -> str:
    """What two names share when a person would read them as the same: neither case nor Unicode form tells them apart.

    >>> same_name("Caf\\u00e9 MUG") == same_name("cafe\\u0301  mug"), same_name("mug 1") == same_name("mug-1")
    (True, False)
    """
    folded = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())
    seen = "".join(sign for sign in folded if unicodedata.category(sign) != "Cf")
    return " ".join(seen.split())


def slug(name: str) -> str:
    """The part of a folder's name that a person recognises; small letters and figures only, maybe none.

    >>> slug("Regatta bottle, 600 ml"), slug("../../con"), slug("Pokal Nº 5"), slug("Ruderkönig"), slug("…")
    ('regatta-bottle-600-ml', 'con', 'pokal-no-5', 'ruderkonig', '')
    """
    plain = unicodedata.normalize("NFKD", name).casefold()
    ascii_only = "".join(sign for sign in plain if not unicodedata.combining(sign))
    return re.sub(r"[^a-z0-9]+", "-", ascii_only).strip("-")[:_LONGEST_SLUG].strip("-")


def token(length: int) -> str:
    """So many random signs: what keeps two files apart that nobody could keep apart by agreement."""
    import secrets

    return "".join(secrets.choice(_SIGNS) for _ in range(length))


def id_of(name: str, turn: int = 0) -> str:
    """The id of a new profile: two machines that begin one name at once begin one profile.

    `turn` is 1, 2, … where a profile that bears another name now, or lies in the bin, has the id already.

    >>> id_of("Regatta Bottle") == id_of("regatta  bottle"), id_of("a") == id_of("a", 1), len(id_of("a"))
    (True, False, 10)
    """
    import hashlib

    number = int.from_bytes(hashlib.sha256(f"{same_name(name)}\0{turn}".encode()).digest(), "big")
    signs = []
    for _ in range(10):
        number, place = divmod(number, len(_SIGNS))
        signs.append(_SIGNS[place])
    return "".join(signs)


def folder_name(name: str, profile_id: str) -> str:
    """The folder of a profile: recognisable, allowed on every system, and nobody else's.

    >>> folder_name("Con", "k3f9ab27cd"), folder_name("🚣", "k3f9ab27cd")
    ('con-k3f9ab27cd', 'item-k3f9ab27cd')
    """
    return f"{slug(same_name(name)) or 'item'}-{profile_id}"

"""Public identifiers of people and organisations, as they are typed: read into the address they stand for. Pure."""

import re
from urllib.parse import urlsplit

from ledger.words import say

ORCID_HOME, ROR_HOME = "https://orcid.org/", "https://ror.org/"
_ORCID = re.compile(r"(?:(?:https?://)?orcid\.org/)?(\d{4})-?(\d{4})-?(\d{4})-?(\d{3}[\dX])/?", re.IGNORECASE)
_ROR = re.compile(r"(?:(?:https?://)?ror\.org/)?(0[a-hj-km-np-tv-z0-9]{6}\d{2})/?", re.IGNORECASE)
_CROCKFORD = "0123456789abcdefghjkmnpqrstvwxyz"
LONGEST = 200


class PublicIdError(ValueError):
    """What was typed is no public identifier; the text says why, what was kept and what to do."""


def read_public_id(text: str) -> str:
    """Return the address of an identifier; an empty text stays empty.

    An ORCID and a ROR identifier may be typed without their addresses; their check digits are held against them. Any
    other address of the web is taken as it is.

    >>> read_public_id("0000-0002-1825-0097")
    'https://orcid.org/0000-0002-1825-0097'
    """
    typed = text.strip()
    if not typed:
        return ""
    if found := _ORCID.fullmatch(typed):
        digits = "".join(found.groups()).upper()
        if not _is_orcid(digits):
            raise PublicIdError(
                say(
                    "{typed} is no ORCID: its last sign does not go with the others. What you typed is kept; check it.",
                    typed=typed,
                )
            )
        return ORCID_HOME + "-".join(digits[start : start + 4] for start in range(0, 16, 4))
    if found := _ROR.fullmatch(typed):
        if not _is_ror(found[1].lower()):
            raise PublicIdError(
                say(
                    "{typed} is no ROR identifier: its last two digits do not go with the others. What you typed is kept; "
                    "check it.",
                    typed=typed,
                )
            )
        return ROR_HOME + found[1].lower()
    address = urlsplit(typed) if " " not in typed else None
    if (
        address is None
        or address.scheme not in ("http", "https")
        or "." not in address.netloc
        or len(typed) > LONGEST
    ):
        raise PublicIdError(
            say(
                "{typed} is no public identifier. What you typed is kept; type an ORCID or a ROR identifier, or the whole "
                "address of another, with https:// before it.",
                typed=typed[:60],
            )
        )
    return typed


def _is_orcid(digits: str) -> bool:
    """ISO 7064 MOD 11-2 over the first fifteen, as ORCID, "Structure of the ORCID Identifier", says."""
    total = 0
    for digit in digits[:15]:
        total = (total + int(digit)) * 2
    check = (12 - total % 11) % 11
    return digits[15] == ("X" if check == 10 else str(check))


def _is_ror(code: str) -> bool:
    """The last two digits are 98 - (n x 100 mod 97), n the six signs before in Crockford's base 32 (ISO/IEC 7064)."""
    number = 0
    for sign in code[1:7]:
        number = number * 32 + _CROCKFORD.index(sign)
    return int(code[7:]) == 98 - (number * 100) % 97

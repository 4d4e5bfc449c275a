"""Cells that a spreadsheet would run as a formula, made plain text on the way out and put back exactly on the way in.

A text that begins with = + - @, or with a tab or a line break, gets one apostrophe in front; so does such a text that has
apostrophes in front already, so that taking one away gives back what was. One goes in as well between a semicolon, tab or
line break within a text and such a sign: a spreadsheet that parts cells there would begin a new one. Plain numbers
such as -2.34567 stay as they are. After OWASP, "CSV Injection"; the wide signs = + - @ of East Asian keyboards are
taken for the narrow ones by some programs. An apostrophe in front of anything else stands for itself.
"""

import re

_SIGNS = "=+\\-@\uff1d\uff0b\uff0d\uff20"
_SIGN = rf"[ \u00a0]*[{_SIGNS}]"
_RISKY = rf"(?:{_SIGN}|[\t\r\n])"
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
# Where a cell begins; and where a program may think that one begins.
_AFTER = r"(?<=[;\t\r\n])"
_GUARD = re.compile(rf"^(?='*{_RISKY})|{_AFTER}(?='*{_SIGN})")
_UNGUARD = re.compile(rf"^'(?='*{_RISKY})|{_AFTER}'(?='*{_SIGN})")
# Of a whole row: what a cell must begin with, or hold, before anything need be done to it. Looked at so, since this is
# asked of every cell that goes out, and nearly none is of the kind.
_FIRST = frozenset("=+-@\t\r\n' \u00a0\uff1d\uff0b\uff0d\uff20")
_SEPARATOR = "\x1f"


def guarded(text: str) -> str:
    """The text as a cell that is no formula.

    >>> guarded("=1+1"), guarded("-2.5"), guarded("'tis")
    ("'=1+1", '-2.5', "'tis")
    """
    return text if _NUMBER.fullmatch(text) else _GUARD.sub("'", text)


def unguarded(cell: str) -> str:
    """What `guarded` was given. A file of another hand loses nothing but the same apostrophe.

    >>> unguarded(guarded("''=1")) == "''=1"
    True
    """
    return cell if not cell or "'" not in cell else _UNGUARD.sub("", cell)


def guarded_row(cells: list[str]) -> list[str]:
    """All cells of a row, looked at once: most rows hold nothing of the kind."""
    first = _FIRST
    for cell in cells:
        if cell and cell[0] in first and not _NUMBER.fullmatch(cell):
            return [guarded(cell) for cell in cells]
    whole = _SEPARATOR.join(cells)
    if ";" in whole or "\n" in whole or "\t" in whole or "\r" in whole:
        return [guarded(cell) for cell in cells]
    return cells

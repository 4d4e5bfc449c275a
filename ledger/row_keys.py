"""Keys of rows, as addresses and forms carry them."""


def key_of(text: str | None) -> int:
    """Return the key of a row as an address or a form carries it; 0, which no row has, for anything else.

    Digits of other scripts and numbers that no database column holds are such anything.
    """
    return int(text) if text and text.isascii() and text.isdecimal() and len(text) < 16 else 0

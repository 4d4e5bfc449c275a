"""Several values in one cell of remarks, as `key: value | key: value`. Pure.

A bar within a value is written `\\!` and a backslash twice, so that every text comes back; the last key's value stays
as it is.
"""

from collections.abc import Mapping, Sequence

LIST = " | "
"""How Darwin Core parts a list in one cell (list of terms, 2026-05-26)."""


def joined(pairs: Mapping[str, str]) -> str:
    """One cell; empty values are left out. The last of *pairs* may hold the list's own mark.

    >>> joined({"state": "fresh", "n": "", "typed": "4 | 5"})
    'state: fresh | typed: 4 | 5'
    """
    last = list(pairs)[-1]
    return LIST.join(
        [f"{key}: {value if key == last else _hidden(value)}" for key, value in pairs.items() if value]
    )


def parted(cell: str, keys: Sequence[str]) -> dict[str, str]:
    """What `joined` was given, with all its keys in their order. A cell of another hand has none of them and gives
    nothing.

    >>> parted("state: fresh | typed: 4 | n: 5", ["state", "n", "typed"])
    {'state': 'fresh', 'typed': '4 | n: 5'}
    """
    found: dict[str, str] = {}
    rest = cell
    for key in keys[:-1]:
        start = f"{key}: "
        if rest.startswith(start):
            value, _, rest = rest[len(start) :].partition(LIST)
            found[key] = _shown(value)
    last = f"{keys[-1]}: "
    if rest.startswith(last):
        found[keys[-1]], rest = rest[len(last) :], ""
    return {} if rest else found


def _hidden(value: str) -> str:
    return value.replace("\\", "\\\\").replace("|", "\\!") if "|" in value or "\\" in value else value


def _shown(value: str) -> str:
    if "\\" not in value:
        return value
    return "\\".join(part.replace("\\!", "|") for part in value.split("\\\\"))

"""Which kind of wood a typed host has: conifer or hardwood, by genus or by English or German name (`fixtures/hosts.csv`).

A guess would be worse than nothing: a name that is not in the table, or that could be two kinds, gives None.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

GROUPS = ("conifer", "hardwood")
_SAID_OUTRIGHT = {
    ("conifer",): "conifer",
    ("softwood",): "conifer",
    ("needle", "leaved"): "conifer",
    ("hardwood",): "hardwood",
    ("broadleaf",): "hardwood",
    ("broad", "leaved"): "hardwood",
    ("deciduous",): None,  # larch is deciduous too
    ("nadelholz",): "conifer",
    ("nadelbaum",): "conifer",
    ("laubholz",): "hardwood",
    ("laubbaum",): "hardwood",
    ("obstbaum",): "hardwood",
}


class HostTableError(ValueError):
    """A row of the table of hosts is broken; the message names it."""


@dataclass(frozen=True, slots=True)
class HostMatch:
    """What a typed host was understood as. ``genus`` is empty where only the kind of wood was said."""

    genus: str
    group: str | None


@dataclass(frozen=True, slots=True)
class HostTable:
    """Names of hosts, each as a row of words in small letters, with what they mean."""

    phrases: Mapping[tuple[str, ...], HostMatch]
    longest: int

    @classmethod
    def from_rows(cls, rows: Iterable[Mapping[str, str]]) -> "HostTable":
        """Rows with `genus`, `vernacular` (parted by |), `group` (empty: neither) and `source`."""
        phrases: dict[tuple[str, ...], HostMatch] = {
            phrase: HostMatch("", group) for phrase, group in _SAID_OUTRIGHT.items()
        }
        for number, row in enumerate(rows, start=2):
            group = row["group"] or None
            if group is not None and group not in GROUPS:
                raise HostTableError(
                    f"hosts, line {number}: group {group!r}; use {' or '.join(GROUPS)} or nothing."
                )
            if not row["source"]:
                raise HostTableError(
                    f"hosts, line {number}: {row['genus']} has no source; write `from memory`."
                )
            for name in (row["genus"], *filter(None, row["vernacular"].split("|"))):
                phrase = _words(name)
                if phrases.get(phrase, HostMatch(row["genus"], group)).genus != row["genus"]:
                    raise HostTableError(f"hosts, line {number}: {name!r} stands there twice; keep one.")
                phrases[phrase] = HostMatch(row["genus"], group)
        if len(phrases) == len(_SAID_OUTRIGHT):
            raise HostTableError("hosts: there is no row in the table.")
        return cls(MappingProxyType(phrases), max(map(len, phrases)))

    def match(self, typed: str) -> HostMatch | None:
        """The host the typed words name, the longest names first: `mountain ash` is not an ash.

        >>> rows = [{"genus": "Quercus", "vernacular": "oak", "group": "hardwood", "source": "from memory"}]
        >>> HostTable.from_rows(rows).match("old Oak, fallen")
        HostMatch(genus='Quercus', group='hardwood')
        """
        words = _words(typed)
        found: set[HostMatch] = set()
        position = 0
        while position < len(words):
            for length in range(min(self.longest, len(words) - position), 0, -1):
                match = self.phrases.get(words[position : position + length])
                if match is not None:
                    found.add(match)
                    position += length
                    break
            else:
                position += 1
        if len(found) == 1:
            return found.pop()
        groups = {match.group for match in found}
        return HostMatch("", groups.pop()) if len(groups) == 1 else None

    def group_of(self, typed: str) -> str | None:
        """`conifer`, `hardwood`, or None where the words do not say."""
        match = self.match(typed)
        return match.group if match else None

    @property
    def genera(self) -> tuple[str, ...]:
        """The genera of the table, as they are offered while a host is typed."""
        return tuple(sorted({match.genus for match in self.phrases.values() if match.genus}))

    @property
    def names_of_trees(self) -> Mapping[str, tuple[str, ...]]:
        """By genus the names in one word that stand for it, in small letters, its own among them."""
        names: dict[str, list[str]] = {}
        for phrase, match in self.phrases.items():
            if match.genus and len(phrase) == 1:
                names.setdefault(match.genus, []).append(phrase[0])
        return {genus: tuple(sorted(words)) for genus, words in names.items()}

    @property
    def by_group(self) -> Mapping[str, list[str]]:
        """Every name by the kind of wood it tells, "" where it tells none; words in small letters, a blank between."""
        groups: dict[str, list[str]] = {}
        for phrase, match in self.phrases.items():
            groups.setdefault(match.group or "", []).append(" ".join(phrase))
        return groups


def _words(text: str) -> tuple[str, ...]:
    """Words in small letters; a plural s is left off words of four letters and more that are not in -ss or -us."""
    words = re.findall(r"[^\W\d_]+", text.casefold())
    return tuple(word[:-1] if len(word) > 3 and re.search(r"[^su]s$", word) else word for word in words)

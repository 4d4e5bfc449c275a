"""Flags and the one table of their codes, severities and sentences (`fixtures/flags.json`).

A flag is a reason for the curator to look. Code that finds a reason names a code and its numbers; what the flag is
called, how severe it is and what it says stands in the table, and nowhere else.
"""

import hashlib
import json
import string
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from ledger.record.wording import shown
from ledger.words import capital, english_of, say

Value = str | int | float | bool | None | tuple[str, ...] | tuple[int, ...]

SEVERITIES = ("note", "doubt", "stop")  # from the mildest to the worst


class FlagTableError(ValueError):
    """The table of flags is broken, or a flag was asked for that does not fit it."""


@dataclass(frozen=True, slots=True)
class Flag:
    """One reason for the curator to look at a find.

    ``subject`` is a trait code, the id of a photo, or empty: the find itself. ``numbers`` are the values on which
    the flag rests; ``context`` are values the sentence also names but which may move without the reason changing
    (the date of today, say). All are plain values that fit into JSON.
    """

    code: str
    severity: str
    subject: str
    sentence: str
    numbers: Mapping[str, Value] = field(default_factory=lambda: MappingProxyType({}))
    context: Mapping[str, Value] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True)
class FlagKind:
    """A row of the table.

    ``numbers`` and ``context`` are the names a flag of this kind must bring. ``tells_place`` marks sentences that
    say something of the exact place: a reader who may not see the place of a sensitive find must not see them.
    ``finder_does`` is what the finder is told to do, where that is not what the curator is told.
    """

    code: str
    severity: str
    label: str
    sentence: str
    what_to_do: str
    numbers: tuple[str, ...]
    context: tuple[str, ...]
    tells_place: bool
    finder_does: str


@dataclass(frozen=True, slots=True)
class FlagTable:
    """The table of flags. Its order is the order of flags of equal severity."""

    kinds: Mapping[str, FlagKind]

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> "FlagTable":
        """Read the table; a row with an unknown severity or a sentence that names an unknown value is refused."""
        kinds: dict[str, FlagKind] = {}
        for row in data["flags"]:
            kind = _kind(row)
            if kind.code in kinds:
                raise FlagTableError(f"flags: the code {kind.code!r} stands there twice; keep one row.")
            kinds[kind.code] = kind
        return cls(MappingProxyType(kinds))

    def flag(
        self,
        code: str,
        numbers: Mapping[str, Value],
        *,
        subject: str = "",
        context: Mapping[str, Value] | None = None,
    ) -> Flag:
        """A flag of this kind, its sentence filled in. The values must be exactly those the row names."""
        kind = self.kinds.get(code)
        if kind is None:
            raise FlagTableError(f"There is no flag {code!r} in the table; add a row to fixtures/flags.json.")
        context = context or {}
        if set(numbers) != set(kind.numbers) or set(context) != set(kind.context):
            brought = ", ".join(sorted({*numbers, *context})) or "none"
            wanted = ", ".join(sorted({*kind.numbers, *kind.context})) or "none"
            raise FlagTableError(f"Flag {code!r} needs the values {wanted}; it was given {brought}.")
        words = {name: shown(name, value) for name, value in {**numbers, **context}.items()}
        return Flag(
            code,
            kind.severity,
            subject,
            capital(say(kind.sentence, **words)),
            MappingProxyType(dict(numbers)),
            MappingProxyType(dict(context)),
        )

    def ordered(self, flags: Iterable[Flag]) -> tuple[Flag, ...]:
        """The worst first, then in the order of the table, then by subject."""
        place = {code: index for index, code in enumerate(self.kinds)}
        return tuple(
            sorted(flags, key=lambda flag: (-severity_rank(flag.severity), place[flag.code], flag.subject))
        )


def severity_rank(severity: str) -> int:
    """1 for a note, 2 for a doubt, 3 for a stop; 0 is left for "no flag at all"."""
    return SEVERITIES.index(severity) + 1


def fingerprint(flag: Flag) -> str:
    """SHA-256 over code, subject and numbers: the same as long as the reason is the same.

    Wording, language, severity and context do not count, so that a settled flag comes back only if its numbers change.
    """
    told = {name: _stable(value) for name, value in flag.numbers.items()}
    basis = json.dumps([flag.code, flag.subject, told], sort_keys=True, ensure_ascii=True, allow_nan=False)
    return hashlib.sha256(basis.encode("ascii")).hexdigest()


def _stable(value: Value) -> object:
    """Numbers as they come back from a database: 80 and 80.0 are one, and the last bits do not count."""
    if isinstance(value, tuple):
        return [_stable(part) for part in value]
    if isinstance(value, str):
        return english_of(value)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return value
    return f"{value:.10g}"


def _kind(row: Mapping[str, Any]) -> FlagKind:
    code = row.get("code", "")
    if row.get("severity") not in SEVERITIES:
        raise FlagTableError(
            f"flags: {code!r} has the severity {row.get('severity')!r}; use one of {', '.join(SEVERITIES)}."
        )
    for name in ("code", "label", "sentence", "what_to_do"):
        if not str(row.get(name, "")).strip():
            raise FlagTableError(f"flags: {code or row!r} has no {name}; write one.")
    numbers, context = tuple(row.get("numbers", ())), tuple(row.get("context", ()))
    named = {name for _, name, _, _ in string.Formatter().parse(row["sentence"]) if name is not None}
    if unknown := named - {*numbers, *context}:
        raise FlagTableError(
            f"flags: the sentence of {code!r} names {', '.join(sorted(unknown))}, "
            "which is neither in its numbers nor in its context."
        )
    return FlagKind(
        code=code,
        severity=row["severity"],
        label=row["label"],
        sentence=row["sentence"],
        what_to_do=row["what_to_do"],
        numbers=numbers,
        context=context,
        tells_place=bool(row.get("tells_place", False)),
        finder_does=row.get("finder_does", "") or row["what_to_do"],
    )

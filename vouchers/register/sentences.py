"""An entry of the register in words. Pure."""

from collections.abc import Mapping
from typing import Any

from ledger.record.wording import listed
from vouchers.register.reasons import REASONS

# What people wrote freely, and may have written where it was.
_SAID_FREELY = ("note", "why", "words")


def sentence(kind: str, facts: Mapping[str, Any], *, freely: bool = True) -> str:
    """Return what the entry says, without who and when. A kind of a later release is told by its name.

    Not `freely`: without the words that somebody wrote into a box, for a reader who may not know the place.
    """
    say = _SAY.get(kind)
    if not freely:
        facts = {name: value for name, value in facts.items() if name not in _SAID_FREELY}
    return " ".join(say(facts).split()) if say else kind.capitalize()


def _accession(facts: Mapping[str, Any]) -> str:
    parts = [f"Accessioned {facts.get('collecting number', '')}".rstrip()]
    if facts.get("name"):
        parts.append(f"named {facts['name']} then")
    if facts.get("split from"):
        parts.append(f"a share of {facts['split from']}")
    if facts.get("open stops"):
        parts.append("with a stop open that was read and confirmed")
    return ", ".join(parts)


def _part_made(facts: Mapping[str, Any]) -> str:
    note = f": {facts['note']}" if facts.get("note") else ""
    return f"{str(facts.get('part kind', 'part')).capitalize()} {_suffix(facts)} made{note}"


def _part_ended(facts: Mapping[str, Any]) -> str:
    what = f"{str(facts.get('part kind', 'part')).capitalize()} {_suffix(facts)}".rstrip()
    return f"{what} ended" + (f": {facts['why']}" if facts.get("why") else "")


def _split(facts: Mapping[str, Any]) -> str:
    shares = [str(one) for one in facts.get("into", [])]
    return f"Split into {listed(shares)}" if shares else "Split"


def _deaccession(facts: Mapping[str, Any]) -> str:
    reason = REASONS.get(str(facts.get("reason", "")), str(facts.get("reason", "")))
    return f"Deaccessioned. {reason}. {facts.get('words', '')}"


def _taken_back(facts: Mapping[str, Any]) -> str:
    return f"Taken back into the collection. {facts.get('words', '')}"


def _suffix(facts: Mapping[str, Any]) -> str:
    own = str(facts.get("accession number", ""))
    return str(facts.get("part", "")).removeprefix(own).strip()


_SAY = {
    "accession": _accession,
    "part made": _part_made,
    "part ended": _part_ended,
    "split": _split,
    "deaccession": _deaccession,
    "taken back": _taken_back,
}

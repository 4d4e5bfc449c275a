"""An entry of the register in words. Pure.

What is hashed are the facts (`chain.py`), which stay as they were written; these sentences are made of them whenever
somebody reads them, in that reader's language.
"""

from collections.abc import Mapping
from typing import Any

from ledger.record.wording import listed
from ledger.words import say, together
from vouchers.register.reasons import REASONS

# What people wrote freely, and may have written where it was.
_SAID_FREELY = ("note", "why", "words")


def sentence(kind: str, facts: Mapping[str, Any], *, freely: bool = True) -> str:
    """Return what the entry says, without who and when. A kind of a later release is told by its name.

    Not `freely`: without the words that somebody wrote into a box, for a reader who may not know the place.
    """
    in_words = _SENTENCES.get(kind)
    if not freely:
        facts = {name: value for name, value in facts.items() if name not in _SAID_FREELY}
    return " ".join(in_words(facts).split()) if in_words else kind.capitalize()


def _accession(facts: Mapping[str, Any]) -> str:
    number = str(facts.get("collecting number", "")).rstrip()
    parts: list[str] = [say("Accessioned {number}", number=number) if number else say("Accessioned")]
    if facts.get("name"):
        parts.append(say("named {name} then", name=facts["name"]))
    if facts.get("split from"):
        parts.append(say("a share of {number}", number=facts["split from"]))
    if facts.get("open stops"):
        parts.append(say("with a stop open that was read and confirmed"))
    return together(parts, ", ")


def _part_made(facts: Mapping[str, Any]) -> str:
    if facts.get("note"):
        return say("{part} made: {note}", part=_part(facts), note=facts["note"])
    return say("{part} made", part=_part(facts))


def _part_ended(facts: Mapping[str, Any]) -> str:
    if facts.get("why"):
        return say("{part} ended: {why}", part=_part(facts), why=facts["why"])
    return say("{part} ended", part=_part(facts))


def _split(facts: Mapping[str, Any]) -> str:
    shares = [str(one) for one in facts.get("into", [])]
    return say("Split into {shares}", shares=listed(shares)) if shares else say("Split")


def _deaccession(facts: Mapping[str, Any]) -> str:
    reason = REASONS.get(str(facts.get("reason", "")), str(facts.get("reason", "")))
    return say("Deaccessioned. {reason}. {words}", reason=reason, words=facts.get("words", ""))


def _taken_back(facts: Mapping[str, Any]) -> str:
    return say("Taken back into the collection. {words}", words=facts.get("words", ""))


def _part(facts: Mapping[str, Any]) -> str:
    """`Slide S1`. The kind is a code of `vouchers/codes.py`, whose label is the same word with a capital."""
    own = str(facts.get("accession number", ""))
    suffix = str(facts.get("part", "")).removeprefix(own).strip()
    kind = say(str(facts.get("part kind", "part")).capitalize())
    return together([kind, suffix]) if suffix else kind


_SENTENCES = {
    "accession": _accession,
    "part made": _part_made,
    "part ended": _part_ended,
    "split": _split,
    "deaccession": _deaccession,
    "taken back": _taken_back,
}

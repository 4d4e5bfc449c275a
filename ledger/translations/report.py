"""What is wrong with a catalogue, told sentence by sentence."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from ledger.translations.found import Message, placeholders
from ledger.translations.parts import Entry, doubles_within

MISSING, STALE, DOUBLED, FUZZY, DIFFERS = "missing", "stale", "doubled", "fuzzy", "placeholders differ"


@dataclass(frozen=True)
class Problem:
    kind: str
    text: str
    where: str


def problems_of(messages: Sequence[Message], entries: Sequence[Entry]) -> list[Problem]:
    """Sentences without a translation, translations without a sentence, and those that do not belong together."""
    return [
        *_missing(messages, entries),
        *_stale(messages, entries),
        *_doubled(entries),
        *(
            Problem(FUZZY, entry.text, f"{entry.part}.po, line {entry.line}")
            for entry in entries
            if entry.is_fuzzy
        ),
        *_differing(entries),
    ]


def doubles_of(folder: Path) -> list[Problem]:
    """Sentences that stand twice in one part; which of their translations is read nobody knows."""
    return [
        Problem(DOUBLED, text, f"{file.stem}.po, line {line}")
        for file in sorted(folder.glob("*.po"))
        for text, line in doubles_within(file)
    ]


def not_in_parts(messages: Iterable[Message], entries: Iterable[Entry]) -> list[Message]:
    """The marked sentences that stand in no part yet, each once, where it was met first."""
    known = {entry.text: entry for entry in entries}
    new: dict[str, Message] = {}
    for message in messages:
        if message.text in known and (not message.plural or known[message.text].plural):
            continue
        if message.text not in new or (message.plural and not new[message.text].plural):
            new[message.text] = message
    return list(new.values())


def _missing(messages: Sequence[Message], entries: Sequence[Entry]) -> list[Problem]:
    known = {entry.text for entry in entries if not entry.is_missing}
    counted = {entry.key for entry in entries if entry.plural and not entry.is_missing}
    missing: dict[tuple[str, str], Problem] = {}
    for message in messages:
        is_there = message.key in counted if message.plural else message.text in known
        if not is_there and message.key not in missing:
            missing[message.key] = Problem(
                MISSING, message.text, f"{message.place}:{message.line} (belongs in {message.area}.po)"
            )
    return list(missing.values())


def _stale(messages: Sequence[Message], entries: Sequence[Entry]) -> list[Problem]:
    marked = {message.text for message in messages}
    counted = {message.key for message in messages if message.plural}
    return [
        Problem(STALE, entry.text, f"{entry.part}.po, line {entry.line}")
        for entry in entries
        if (entry.key not in counted if entry.plural else entry.text not in marked)
    ]


def _doubled(entries: Sequence[Entry]) -> list[Problem]:
    first: dict[str, str] = {}
    doubled = []
    for entry in entries:
        if entry.text in first:
            doubled.append(Problem(DOUBLED, entry.text, f"{first[entry.text]}.po and {entry.part}.po"))
        first.setdefault(entry.text, entry.part)
    return doubled


def _differing(entries: Sequence[Entry]) -> list[Problem]:
    """The singular may leave the count out, on either side; everything else stands on both."""
    wrong = []
    for entry in entries:
        if entry.is_missing:
            continue
        texts = (entry.text, entry.plural) if entry.plural else (entry.text,)
        allowed = placeholders(texts[-1]) | placeholders(texts[0])
        for at, said in enumerate(entry.said):
            names = placeholders(said)
            least = placeholders(texts[min(at, len(texts) - 1)])
            if entry.plural:
                least = least - {"{n}", "%(n)s", "%(count)s"}
            if not (least <= names <= allowed):
                wrong.append(Problem(DIFFERS, entry.text, f"{entry.part}.po, line {entry.line}: {said}"))
                break
    return wrong

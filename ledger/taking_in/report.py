"""What was, or would be, made of a file: line by line, and together in a sentence. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ledger.words import english_of, kept_of, say_again, say_n, together

NEW, HERE, WRONG = "new", "here", "wrong"


@dataclass(slots=True)
class Line:
    """One line of the report. `flags`: severity and sentence of each that is raised. The sentences of `says` and `flags`
    are in the reader's language; as JSON they are English."""

    line: int
    state: str
    label: str = ""
    name: str = ""
    says: list[str] = field(default_factory=list)
    flags: list[tuple[str, str]] = field(default_factory=list)
    find: str = ""

    def as_json(self) -> dict[str, Any]:
        made = {
            "line": self.line,
            "state": self.state,
            "label": self.label,
            "name": self.name,
            "says": [english_of(sentence) for sentence in self.says],
        }
        flags = [[severity, english_of(sentence)] for severity, sentence in self.flags]
        return made | {"flags": flags, "find": self.find}

    def as_stored(self) -> dict[str, Any]:
        """As JSON, and beside it what each sentence is made of."""
        return self.as_json() | {
            "said": [kept_of(sentence) for sentence in self.says],
            "flags_said": [kept_of(sentence) for _, sentence in self.flags],
        }


@dataclass(slots=True)
class Report:
    """What was, or would be, made of a file. `notes`: of the file as a whole."""

    lines: list[Line] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def many(self, state: str) -> int:
        return sum(1 for line in self.lines if line.state == state)

    def as_json(self) -> dict[str, Any]:
        counts = {state: self.many(state) for state in (NEW, HERE, WRONG)}
        counts["held"] = sum(
            1 for line in self.lines if any(flag[0] in ("doubt", "stop") for flag in line.flags)
        )
        return {
            "counts": counts,
            "notes": [english_of(note) for note in self.notes],
            "lines": [line.as_json() for line in self.lines],
        }

    def as_stored(self) -> dict[str, Any]:
        """As it is kept with the file: English, and what it is made of, so that whoever reads it is told in their
        language (`told_again`)."""
        return self.as_json() | {
            "notes_said": [kept_of(note) for note in self.notes],
            "lines": [line.as_stored() for line in self.lines],
        }

    def said(self, *, dry: bool) -> str:
        return counted(self.as_json()["counts"], dry=dry)


def counted(counts: dict[str, int], *, dry: bool) -> str:
    """`12 finds would be taken in, 3 of them held for the curator. 2 are in the ledger already.`"""
    new, here, wrong, held = (counts.get(name, 0) for name in (NEW, HERE, WRONG, "held"))
    said = [_taken_in(new, held, dry=dry)]
    if here:
        said.append(
            say_n(
                "1 find is in the ledger already, or twice in the file: left as they are.",
                "{n} finds are in the ledger already, or twice in the file: left as they are.",
                here,
            )
        )
    if wrong:
        said.append(
            say_n(
                "{n} line is wrong, so nothing of the file can be taken in.",
                "{n} lines are wrong, so nothing of the file can be taken in.",
                wrong,
            )
        )
    return together(said)


def _taken_in(new: int, held: int, *, dry: bool) -> str:
    if dry and held:
        return say_n(
            "1 find would be taken in, {held} of them held for the curator.",
            "{n} finds would be taken in, {held} of them held for the curator.",
            new,
            held=held,
        )
    if dry:
        return say_n("1 find would be taken in.", "{n} finds would be taken in.", new)
    if held:
        return say_n(
            "1 find was taken in, {held} of them held for the curator.",
            "{n} finds were taken in, {held} of them held for the curator.",
            new,
            held=held,
        )
    return say_n("1 find was taken in.", "{n} finds were taken in.", new)


def told_again(sentences: Sequence[str], said: Sequence[Mapping[str, Any]]) -> list[str]:
    """Stored sentences in the reader's language; those of before it was kept what they are made of, as they stand."""
    kept = [*said, *([{}] * (len(sentences) - len(said)))]
    return [say_again(one, otherwise=sentence) for sentence, one in zip(sentences, kept, strict=False)]

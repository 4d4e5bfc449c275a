"""What was, or would be, made of a file: line by line, and together in a sentence. Pure."""

from dataclasses import dataclass, field
from typing import Any

NEW, HERE, WRONG = "new", "here", "wrong"


@dataclass(slots=True)
class Line:
    """One line of the report. `flags`: severity and sentence of each that is raised."""

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
            "says": self.says,
        }
        return made | {"flags": [list(flag) for flag in self.flags], "find": self.find}


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
        return {"counts": counts, "notes": self.notes, "lines": [line.as_json() for line in self.lines]}

    def said(self, *, dry: bool) -> str:
        return counted(self.as_json()["counts"], dry=dry)


def counted(counts: dict[str, int], *, dry: bool) -> str:
    """`12 finds would be taken in, 3 of them held for the curator. 2 are in the ledger already.`"""
    new, here, wrong, held = (counts.get(name, 0) for name in (NEW, HERE, WRONG, "held"))
    would = "would be" if dry else "were" if new != 1 else "was"
    said = [f"{_finds(new)} {would} taken in" + (f", {held} of them held for the curator." if held else ".")]
    if here:
        said.append(
            f"{_finds(here)} {'is' if here == 1 else 'are'} in the ledger already, or twice in the file: left as they are."
        )
    if wrong:
        said.append(
            f"{wrong} {'line is' if wrong == 1 else 'lines are'} wrong, so nothing of the file can be taken in."
        )
    return " ".join(said)


def _finds(many: int) -> str:
    return "1 find" if many == 1 else f"{many} finds"

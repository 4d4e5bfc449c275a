"""What the ledger cannot know by itself: rooms of other apps tell it here, when their app is ready.

- `add_register(reader)`: reads the register of vouchers on a database and tells how far it has come.
- `add_derived(rebuild, *labels)`: tables (`app.model`, small letters) that are made of others. They are not backed up;
  after a restore `rebuild()` is called, once for all of them.
"""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class RegisterFacts:
    """How far a register has come, and the sentence on its first bad entry ("" where it is whole)."""

    entries: int
    vouchers: int
    digest: str
    trouble: str = ""

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


ReadRegister = Callable[[str], RegisterFacts]
_registers: list[ReadRegister] = []
_derived: dict[str, Callable[[], object]] = {}


def add_register(reader: ReadRegister) -> None:
    if reader not in _registers:
        _registers.append(reader)


def add_derived(rebuild: Callable[[], object], *labels: str) -> None:
    _derived.update(dict.fromkeys(labels, rebuild))


def register_of(using: str) -> RegisterFacts | None:
    """The register on that database, None where no app keeps one."""
    return _registers[0](using) if _registers else None


def derived() -> set[str]:
    return set(_derived)


def rebuild_derived(say: Callable[[str], None]) -> None:
    for rebuild in dict.fromkeys(_derived.values()):
        say(f"making anew: {', '.join(label for label, of in _derived.items() if of is rebuild)}")
        rebuild()

"""Which tests run on which database when the suite is shared out, as a landing does; by hand each database runs all.

The machine that judges a landing has a limit, and both whole suites do not fit into it. Twice run what the database can
change: tests of rows. Once run what it cannot: tests without one, whole-house tests and outside readers on SQLite, and
every module that drives a browser on one of the two.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

Vendor = Literal["sqlite", "postgresql"]

# Every test has the fixtures that would set a database up; only these, and the mark, ask for one.
DATABASE = {
    "django_db",
    "db",
    "transactional_db",
    "django_db_reset_sequences",
    "django_db_serialized_rollback",
}
# Commands and servers of their own meet the database without a fixture that says so.
STARTS_SOMETHING = re.compile(r"subprocess|tests\.running|connection|DATABASE|call_command")
ONCE = ("house", "outside")
TESTS = Path(__file__).parent
BROWSER = TESTS / "browser"


@dataclass(frozen=True)
class Module:
    """A file of tests and the names of all the fixtures and marks its tests ask for."""

    path: Path
    asks_for: frozenset[str]


def is_run(module: Module, vendor: Vendor) -> bool:
    folder = module.path.relative_to(TESTS).parts[0]
    if folder == BROWSER.name:
        return home_of(module.path) == vendor
    return vendor == "sqlite" or (folder not in ONCE and meets_database(module))


def browser_modules() -> list[Path]:
    return sorted(BROWSER.glob("test_*.py"))


def home_of(path: Path) -> Vendor:
    """The one database of a browser module: the first of them has SQLite, the next PostgreSQL, and so on."""
    return "postgresql" if browser_modules().index(path) % 2 else "sqlite"


def meets_database(module: Module) -> bool:
    asks = not module.asks_for.isdisjoint(DATABASE)
    return asks or bool(STARTS_SOMETHING.search(module.path.read_text(encoding="utf-8")))


def modules(asked: Iterable[tuple[Path, Iterable[str]]]) -> dict[Path, Module]:
    """One `Module` for each path, from what its tests ask for one by one."""
    found: dict[Path, set[str]] = {}
    for path, names in asked:
        found.setdefault(path, set()).update(names)
    return {path: Module(path, frozenset(names)) for path, names in found.items()}

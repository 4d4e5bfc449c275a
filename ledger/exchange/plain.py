"""The export that can be read without this program: tables in CSV, a dictionary of their columns, sums, a README.
Pure.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from textwrap import fill

from ledger.days import day_text


@dataclass(frozen=True, slots=True)
class PlainColumn:
    """`name` as it heads the column, units in it; `meaning` in a sentence; `values` where only certain words stand
    there.
    """

    name: str
    meaning: str
    values: str = ""


@dataclass(frozen=True, slots=True)
class PlainTable:
    """One file of the export. `rows` are cells in the order of the columns, told one at a time."""

    file: str
    title: str
    columns: Sequence[PlainColumn]
    rows: Iterable[Sequence[str]] = field(default=())


DICTIONARY = "dictionary.csv"
SUMS = "SHA256SUMS.txt"
README = "README.txt"


def dictionary_rows(tables: Iterable[PlainTable]) -> list[list[str]]:
    """File, column, meaning, words: one row for each column of each table."""
    return [
        [table.file, column.name, column.meaning, column.values]
        for table in tables
        for column in table.columns
    ]


def sums_text(sums: Mapping[str, str]) -> str:
    """As `sha256sum --check` reads them."""
    return "".join(f"{digest}  {name}\n" for name, digest in sorted(sums.items()))


def readme_text(
    *,
    club: str,
    made_on: date,
    tables: Sequence[PlainTable],
    counts: Mapping[str, int],
    others: Mapping[str, str],
    paragraphs: Sequence[str],
    licence: str,
) -> str:
    """The first thing that somebody opens in thirty years. `others`: further files or folders and what they are."""
    listed = [
        f"{table.file}: {table.title} ({counts.get(table.file, 0):,} rows)".replace(",", " ")
        for table in tables
    ]
    listed += [f"{name}: {what}" for name, what in others.items()]
    parts = [
        f"Records of {club}",
        f"Written on {day_text(made_on)}. No program of ours is needed to read this.",
        "WHAT IS HERE",
        *[_hung(line) for line in listed],
        "HOW TO READ IT",
        "All tables are plain text in UTF-8: one row a line, cells parted by commas, texts in straight "
        "quotation marks where "
        "they hold a comma or a line break (RFC 4180). The first row names the columns; dictionary.csv says "
        "what each means, "
        "with its unit. A find is known by its id in every table.",
        "An apostrophe in front of = + - @, of a tab or of a line break is ours: it keeps a spreadsheet from "
        "taking the text "
        "for a formula. Take one away and you have what was written. Plain numbers have none.",
        "An empty cell means that nothing is on record. Not looked, looked but cannot say, and looked and "
        "absent are three "
        "different entries of readings.csv.",
        f"{SUMS} holds the SHA-256 sum of every file. Where the command exists: sha256sum --check {SUMS}",
        *paragraphs,
        f"LICENCE\n{licence}"
        if licence
        else "LICENCE\nThe club has not chosen a licence: ask before you use these records.",
        "Nothing here says or means that a fungus may be eaten.",
    ]
    return (
        "\n\n".join(part if part.startswith(("-", "LICENCE")) else fill(part, 100) for part in parts) + "\n"
    )


def _hung(line: str) -> str:
    return fill(line, 100, initial_indent="- ", subsequent_indent="  ")

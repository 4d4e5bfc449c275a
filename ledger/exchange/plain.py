"""The export that can be read without this program: tables in CSV, a dictionary of their columns, sums, a README.
Pure.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from textwrap import fill

from ledger.days import day_text
from ledger.exchange.people import NOT_NAMED


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
_WORDS = (
    "A find is one gathering: a fungus, or a group of it, at one place on one day.",
    "Its collecting number is the finder's code and a serial, such as AT 57. It stands on the packet of dried material too; "
    "a letter behind it, as in AT 57B, is a share of a mixed gathering.",
    "Its accession number, where it has one, is its number in the club's collection; the register book has them in order.",
    "A reading is what somebody saw or measured of one trait of one specimen.",
    "A name is an opinion: who gave it, on which day and on what grounds. All are kept; one of them holds now. cf. means "
    "compare, aff. means near to: both are doubt.",
    "Settled says that the club's curator has decided on a find. Nobody has in the others.",
)


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
    country: str,
    chosen: str,
    made_on: date,
    tables: Sequence[PlainTable],
    counts: Mapping[str, int],
    others: Mapping[str, str],
    paragraphs: Sequence[str],
    licence: str,
) -> str:
    """The first thing that somebody opens in thirty years. `chosen`: which finds are here, in words; `others`: further
    files or folders and what they are."""
    listed = [f"{table.file}: {table.title} ({_many(counts.get(table.file, 0))})" for table in tables]
    listed += [f"{name}: {what}" for name, what in others.items()]
    parts = [
        f"Records of {club}",
        f"Written on {day_text(made_on)} out of the club's ledger, Bracket Ledger. No program of ours is needed to read "
        "this.",
        "WHAT THIS IS",
        f"Finds of bracket fungi and other fungi on wood, by {club}{', ' if country else ''}{country}. Here are: {chosen}.",
        *[_hung(line) for line in _WORDS],
        "WHAT IS HERE",
        *[_hung(line) for line in listed],
        "HOW TO READ IT",
        "All tables are plain text in UTF-8: one row a line, cells parted by commas, texts in straight "
        "quotation marks where "
        "they hold a comma or a line break (RFC 4180). The first row names the columns; dictionary.csv says "
        "what each means, "
        "with its unit. To know what belongs together, look for the same find_id in every table. A photograph's name begins "
        "with the number of its find; photos.csv says what it shows.",
        "An apostrophe in front of = + - @, of a tab or of a line break is ours: it keeps a spreadsheet from "
        "taking the text "
        "for a formula. Take one away and you have what was written. Plain numbers have none.",
        "An empty cell means that nothing is on record. In readings.csv a trait without a row was not looked at; "
        '"cannot say" was looked at without an answer; "absent" was looked for and is not there.',
        f'Where "{NOT_NAMED}" stands, somebody found or named it who has not agreed to be named outside the club.',
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


def _many(rows: int) -> str:
    return "1 row" if rows == 1 else f"{rows:,} rows".replace(",", " ")


def _hung(line: str) -> str:
    return fill(line, 100, initial_indent="- ", subsequent_indent="  ")

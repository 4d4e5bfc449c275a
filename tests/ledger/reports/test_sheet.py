"""A report cut into parts, and as a screen shows it."""

from ledger.reports.sheet import Column, Facts, Report, Table, Words, cell, for_page, part_of, parts_of

COLUMNS = (Column("Number"),)


def table(heading: str, rows: int, first: int = 0) -> Table:
    return Table(heading, COLUMNS, [(cell(f"{first + n}"),) for n in range(rows)], "none")


def report(*blocks: Facts | Table | Words) -> Report:
    return Report("Report", "of this", "Hollin Fungus Group", "3 October 2026", blocks, ("A caution.",))


def numbers(shown: Report) -> list[str]:
    return [row[0].text[0][0] for block in shown.blocks if isinstance(block, Table) for row in block.rows]


def test_a_short_report_is_one_part_and_whole() -> None:
    whole = report(Facts("", [("Date", ["today"])]), table("Finds", 3), Words("Last", ["words"]))
    assert parts_of(whole, 3) == 1
    assert list(part_of(whole, 1, 3).blocks) == list(whole.blocks)


def test_every_row_stands_in_one_part_in_its_order() -> None:
    whole = report(table("First", 5), table("Second", 6, first=5))
    parts = [part_of(whole, part, 4) for part in range(1, parts_of(whole, 4) + 1)]
    assert [len(numbers(part)) for part in parts] == [4, 4, 3]
    assert [number for part in parts for number in numbers(part)] == [str(n) for n in range(11)]


def test_a_table_that_goes_on_says_so() -> None:
    whole = report(table("Finds", 5))
    headings = [part_of(whole, part, 2).blocks[0].heading for part in (1, 2, 3)]
    assert headings == ["Finds", "Finds, continued", "Finds, continued"]


def test_what_is_no_row_stands_in_one_part_alone() -> None:
    whole = report(Facts("", [("Date", ["today"])]), table("Finds", 4), Words("Last", ["words"]))
    kinds = [[block.kind for block in part_of(whole, part, 2).blocks] for part in (1, 2)]
    assert kinds == [["facts", "table"], ["table", "words"]]


def test_a_report_without_rows_is_one_part() -> None:
    empty = report(table("Finds", 0))
    assert parts_of(empty) == 1
    assert list(part_of(empty, 1).blocks) == list(empty.blocks)


def test_a_screen_shows_the_first_rows_of_a_long_table_and_says_so() -> None:
    shown = for_page(report(table("Finds", 5)), 2)
    assert numbers(shown) == ["0", "1"]
    (block,) = shown.blocks
    assert isinstance(block, Table) and block.said == [
        "Here are the first 2 of 5 rows. The PDF has them all."
    ]

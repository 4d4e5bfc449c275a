"""Rows that are taken along with the finds they belong to."""

from collections.abc import Iterator

from ledger.handing_on.rows import Along

ROWS = [("b", 1), ("b", 2), ("c", 3), ("e", 4), ("e", 5)]


def test_each_find_gets_its_rows_and_one_without_any_gets_none() -> None:
    along = Along(ROWS)
    assert [along.get(key) for key in "abcdef"] == [(), ROWS[:2], ROWS[2:3], (), ROWS[3:], ()]


def test_rows_of_finds_that_stay_here_are_passed_over() -> None:
    along = Along(ROWS)
    assert [along.get(key) for key in "ae"] == [(), ROWS[3:]]


def test_the_last_find_takes_the_last_rows_so_that_nothing_stays_open() -> None:
    done = []

    def rows() -> Iterator[tuple[str, int]]:
        yield from ROWS
        done.append(True)

    for last in "ef":
        along = Along(rows())
        along.get("b")
        assert done == []
        along.get(last)
        assert done.pop()

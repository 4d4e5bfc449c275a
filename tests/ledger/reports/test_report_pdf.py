"""A report on paper: all that it says, on the paper asked for, and no sign that stops it."""

import re
from collections.abc import Sequence
from datetime import UTC, datetime

import pypdfium2
import pytest

from ledger.paper.papers import PAPERS
from ledger.paper.text import CAUTION, PaperError
from ledger.reports.cautions import cautions
from ledger.reports.report_pdf import NOT_DRAWN, print_report
from ledger.reports.sheet import Bar, Block, Cell, Column, Facts, Report, Table, Weeks, Words, cell
from tests.ledger.reports.reading import pages_of, text_of

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)
COLUMNS = (Column("Number"), Column("Name", 3), Column("Finds", is_figures=True))


def report(
    *blocks: Block, of: str = "Hollin Wood", warning: str = "", part: int = 1, parts: int = 1
) -> Report:
    return Report(
        "Report for the owner of the land",
        of,
        "Hollin Fungus Group",
        "2 November 2026",
        blocks,
        cautions(poison_centre="", for_owner=True),
        warning=warning,
        part=part,
        parts=parts,
    )


def printed(*blocks: Block, paper: str = "a4", **given: object) -> bytes:
    return print_report(report(*blocks, **given), paper, made_at=NOW)  # type: ignore[arg-type]


def rows(many: int) -> Sequence[Sequence[Cell]]:
    name = (("Trametes versicolor", True), (" (L.) Lloyd", False))
    return [(cell(f"AT {n}", "3 Oct 2026"), Cell(name, ("settled",)), cell(n)) for n in range(1, many + 1)]


@pytest.mark.parametrize("paper", PAPERS)
def test_the_paper_is_the_one_asked_for(paper: str) -> None:
    document = pypdfium2.PdfDocument(printed(paper=paper))
    width, height = document[0].get_size()
    document.close()
    assert (width / 72 * 25.4, height / 72 * 25.4) == pytest.approx(
        (PAPERS[paper].width_mm, PAPERS[paper].height_mm), abs=0.1
    )


def test_an_unknown_paper_or_a_moment_without_zone_prints_nothing() -> None:
    with pytest.raises(PaperError, match="no paper 'a3'"):
        printed(paper="a3")
    with pytest.raises(PaperError, match="no time zone"):
        print_report(report(), "a4", made_at=NOW.replace(tzinfo=None))


def test_every_block_says_on_paper_what_it_holds() -> None:
    text = text_of(
        printed(
            Facts("Leave", [("Held by", ["the club", "and its members"])]),
            Table("What was found", COLUMNS, rows(1), "none", ["A sentence above."]),
            Table("What was taken", COLUMNS, [], "Nothing was taken."),
            Weeks("Finds by week", [Bar(40, 7, 100.0, 50.0)], [("Oct", 39.0)], 7, "Most in week 40, 7."),
            Words("Safe keeping", ["One backup went well."]),
            warning="For Ada Thorne alone.",
        )
    )
    for said in (
        *("Report for the owner of the land", "Hollin Wood", "made 2 November 2026", "For Ada Thorne alone."),
        *("Leave Held by the club and its members", "A sentence above.", "AT 1 3 Oct 2026"),
        *(
            "Trametes versicolor (L.) Lloyd settled 1",
            "What was taken Nothing was taken.",
            "Most in week 40, 7.",
        ),
        "Safe keeping One backup went well.",
    ):
        assert said in text


def test_the_cautions_are_at_the_foot_and_one_on_every_page() -> None:
    pages = pages_of(printed(Table("Finds", COLUMNS, rows(90), "none")))
    assert len(pages) > 2
    assert all(CAUTION in page for page in pages)
    for caution in cautions(poison_centre="", for_owner=True):
        assert caution in pages[-1]


def test_thousands_of_rows_go_over_pages_with_the_head_again_on_each_and_none_is_lost() -> None:
    pages = pages_of(printed(Table("Finds", COLUMNS, rows(2000), "none")))
    with_rows = [page for page in pages if "AT " in page]
    assert len(with_rows) > 50
    assert all("Number Name Finds" in page for page in with_rows)
    assert [int(n) for n in re.findall(r"AT (\d+) 3 Oct", " ".join(pages))] == list(range(1, 2001))
    assert f"page {len(pages)} of {len(pages)}" in pages[-1]


def test_long_names_and_words_in_other_letters_are_whole() -> None:
    long = "Стереум жёстковолосистый на поваленном стволе у Παπαδοπούλου " * 5
    text = text_of(
        printed(
            Facts("", [("Place", [long])]),
            Table(long, COLUMNS, [(cell(long), cell("Ελένη", long), cell(1))], "none"),
            of=long,
        )
    )
    assert text.count(long.strip()) >= 5 and "Ελένη" in text


def test_a_sign_that_no_font_draws_stands_as_a_box_and_is_told() -> None:
    text = text_of(printed(Facts("", [("Place", ["Hollin \u68ee Wood"])])))
    assert f"Hollin {NOT_DRAWN} Wood" in text
    assert f"{NOT_DRAWN} stands for a sign that the print fonts cannot draw" in text
    assert "stands for a sign" not in text_of(printed(Facts("", [("Place", ["Hollin Wood"])])))


def test_signs_of_typesetting_are_words_and_nothing_more() -> None:
    typed = "#panic() *bold* _it_ $x$ @ref <label> \\ `raw` // no remark [x]"
    assert typed in text_of(printed(Facts("", [("Place", [typed])]), of=typed))


def test_a_part_says_which_it_is_on_every_page() -> None:
    pages = pages_of(printed(Table("Finds", COLUMNS, rows(60), "none"), part=2, parts=7))
    assert len(pages) > 1 and all("part 2 of 7" in page for page in pages)


def test_the_same_report_at_the_same_moment_gives_the_same_bytes() -> None:
    block = Table("Finds", COLUMNS, rows(3), "none")
    assert printed(block) == printed(block)


def test_nothing_in_it_reads_as_leave_to_eat() -> None:
    for for_owner in (True, False):
        said = cautions(poison_centre="Poison line 0800 000", for_owner=for_owner)
        assert said[0].startswith("No guide to eating.")
        assert "Poison line 0800 000" in said[1]
        assert not re.search(r"\bsafe to\b|edible|delicious|medicin", " ".join(said), re.IGNORECASE)

"""What is said of a file is said in the language of whoever reads it, whoever gave the file; on record it is English."""

import json

from ledger.people.models import Member
from ledger.taking_in import actions, page
from ledger.taking_in.columns import Mapped
from ledger.taking_in.grid import Grid
from ledger.taking_in.models import TakingIn
from ledger.traits.reference import Reference
from tests.ledger.taking_in.test_actions import NOW, ROWS, given
from tests.speaking import in_brackets

TOO_HIGH = "Date;Time;Name;Cap width;No;By\r\n3.10.2026;14:05;Trametes versicolor;58,5;12000;Ada Thorne\r\n"


def sentences(taking: TakingIn) -> list[str]:
    """All that the page tells of the file."""
    shown = page.shown_report(taking, 0)
    lines = shown["lines"]
    flags = [sentence for line in lines for _, sentence in line["flags"]]
    return [shown["said"], *shown["notes"], *(said for line in lines for said in line["says"]), *flags]


def looked_at(
    curator: Member, *, elsewhere: bool, rows: str = ROWS, mapped: Mapped | None = None
) -> TakingIn:
    taking = given(curator, rows, mapped) if mapped else given(curator, rows)
    if elsewhere:
        with in_brackets():
            actions.look_at(taking, by=curator, now=NOW)
    else:
        actions.look_at(taking, by=curator, now=NOW)
    taking.refresh_from_db()
    return taking


def test_a_report_is_on_record_in_english_whoever_looked(
    reference: Reference, collector: Member, curator: Member
) -> None:
    made = [looked_at(curator, elsewhere=elsewhere).report for elsewhere in (True, False)]
    assert made[0] == made[1]
    assert "⟦" not in json.dumps(made[0], ensure_ascii=False)
    assert "no collecting number" in made[0]["lines"][1]["says"][0]


def test_a_report_is_told_in_the_language_of_its_reader(
    reference: Reference, collector: Member, curator: Member
) -> None:
    taking = looked_at(curator, elsewhere=True)
    assert not any("⟦" in one for one in sentences(taking))
    with in_brackets():
        assert all(one.startswith("⟦") for one in sentences(taking))


def test_a_report_of_before_is_told_as_it_stands(
    reference: Reference, collector: Member, curator: Member
) -> None:
    taking = looked_at(curator, elsewhere=False)
    told = sentences(taking)
    del taking.report["notes_said"]
    for line in taking.report["lines"]:
        del line["said"], line["flags_said"]
    assert sentences(taking) == told


def test_what_a_form_says_of_a_cell_is_told_without_that_it_was_kept(
    reference: Reference, collector: Member, curator: Member
) -> None:
    mapped = Mapped({0: "found_on", 4: "altitude_m", 5: "finder"}, "dmy", "comma")
    taking = looked_at(curator, elsewhere=True, rows=TOO_HIGH, mapped=mapped)
    assert taking.report["lines"][0]["says"] == ["Altitude, m: 12000 m cannot be stored; -430 to 9000 can."]
    with in_brackets():
        said = page.shown_report(taking, 0)["lines"][0]["says"][0]
    assert "⟦{label}" not in said and said.startswith("⟦⟦Altitude, m⟧: ⟦12000 m cannot")


def test_columns_are_proposed_by_the_names_that_the_reader_calls_them(reference: Reference) -> None:
    with in_brackets():
        taking = TakingIn(mapped={})
        grid = Grid(("⟦Found by⟧", "Locality", "⟦Cap width⟧"), ())
        assert page.first_mapping(taking, grid, {"cap_width": "Cap width"}).columns == {
            0: "finder",
            1: "locality",
            2: "trait:cap_width",
        }

from datetime import date
from typing import Any

from tests.speaking import in_brackets
from vouchers.loans.due import how_due
from vouchers.loans.reminders import Reminder, reminder


def written(today: date, **given: Any) -> Reminder:
    due_on = date(2027, 5, 2)
    usual: dict[str, Any] = {
        "number": "L2026-001",
        "collection": "Hollin Fungarium",
        "person": "Prof. Ines Dahl",
        "institution": "Herbarium of Fenwick",
        "lent_on": date(2026, 11, 2),
        "due_on": due_on,
        "due": how_due(due_on, today, is_open=True),
        "parts": ["HFG 2026-0001", "HFG 2026-0002 S1"],
        "sent_on": [],
        "curator": "Carys Bowen",
    }
    return reminder(**(usual | given))


def test_before_the_day_it_asks_whether_more_time_is_needed() -> None:
    letter = written(date(2027, 4, 20))
    assert letter.subject == "Loan L2026-001 is due in 12 days"
    assert "It falls due on 2 May 2027." in letter.text
    assert "prolong the loan on record" in letter.text


def test_it_names_what_is_still_out_and_nothing_else() -> None:
    lines = written(date(2027, 5, 14)).text.splitlines()
    assert [line for line in lines if line.startswith("HFG")] == ["HFG 2026-0001", "HFG 2026-0002 S1"]


def test_after_the_day_it_says_by_how_much() -> None:
    letter = written(date(2027, 5, 14))
    assert "It was due back on 2 May 2027; 2 specimens are overdue by 12 days now." in letter.text
    assert "We wrote to you" not in letter.text


def test_one_specimen_is_spoken_of_as_one() -> None:
    letter = written(date(2027, 5, 14), parts=["HFG 2026-0001"])
    assert "1 specimen is overdue" in letter.text
    assert "Please return it," in letter.text


def test_a_later_one_names_the_earlier_and_the_third_is_firm() -> None:
    letter = written(date(2027, 9, 1), sent_on=[date(2027, 5, 14), date(2027, 7, 1)])
    assert letter.subject.endswith("reminder 3")
    assert "on 14 May 2027 and 1 July 2027" in letter.text
    assert "cannot make another loan" in letter.text


def test_it_is_signed_for_the_collection() -> None:
    assert written(date(2027, 5, 14)).text.splitlines()[-2:] == ["Carys Bowen", "Hollin Fungarium"]


def test_every_line_is_said_but_for_numbers_and_names() -> None:
    with in_brackets():
        letter = written(date(2027, 9, 1), sent_on=[date(2027, 5, 14)])
    plain = [line for line in letter.text.splitlines() if line and not line.startswith("⟦")]
    assert plain == ["HFG 2026-0001", "HFG 2026-0002 S1", "Carys Bowen", "Hollin Fungarium"]
    assert letter.subject.startswith("⟦")

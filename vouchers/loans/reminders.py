"""What to write to a borrower, the firmer the later and the oftener. Pure. The ledger sends nothing: the text is copied."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ledger.days import day_text
from ledger.record.wording import listed
from ledger.words import Said, say, say_n
from vouchers.loans.due import DUE_TODAY, OVERDUE, Due


@dataclass(frozen=True, slots=True)
class Reminder:
    """`subject` and `text` as they are copied into a letter; `sent_before`: how many went out for this due date."""

    subject: str
    text: str
    sent_before: int


def reminder(
    *,
    number: str,
    collection: str,
    person: str,
    institution: str,
    lent_on: date,
    due_on: date,
    due: Due,
    parts: Sequence[str],
    sent_on: Sequence[date],
    curator: str,
) -> Reminder:
    """The reminder that is due now. `parts` are the numbers still out, `sent_on` the days of earlier reminders."""
    many = len(parts)
    lines: list[str] = [
        say("Dear {person},", person=person),
        "",
        say(
            "on {day} we lent {institution} specimens of {collection}, as loan {number}.",
            day=day_text(lent_on),
            institution=institution,
            collection=collection,
            number=number,
        )
        + " "
        + _how_due(due_on, due, many),
    ]
    if sent_on:
        days = listed([day_text(day) for day in sent_on])
        lines += ["", say("We wrote to you about it on {days}.", days=days)]
    lines += [
        "",
        say_n("Still with you is:", "Still with you are:", many),
        "",
        *parts,
        "",
        _request(due, len(sent_on), many),
        "",
        say("With kind regards,"),
        curator,
    ]
    lines.append(collection)
    return Reminder(_subject(number, due, len(sent_on)), "\n".join(lines), len(sent_on))


def _subject(number: str, due: Due, sent: int) -> Said:
    if due.state == OVERDUE and sent:
        return say("Loan {number} is {due}: reminder {n}", number=number, due=due.words, n=sent + 1)
    return say("Loan {number} is {due}", number=number, due=due.words)


def _how_due(due_on: date, due: Due, many: int) -> Said:
    day = day_text(due_on)
    if due.state == OVERDUE:
        return say_n(
            "It was due back on {day}; {n} specimen is {due} now.",
            "It was due back on {day}; {n} specimens are {due} now.",
            many,
            day=day,
            due=due.words,
        )
    return say("It falls due today.") if due.state == DUE_TODAY else say("It falls due on {day}.", day=day)


def _request(due: Due, sent: int, many: int) -> Said:
    if due.state != OVERDUE:
        return say_n(
            "Please return it by then. If the work needs more time, tell us until when, and we shall prolong the loan on "
            "record.",
            "Please return them by then. If the work needs more time, tell us until when, and we shall prolong the loan on "
            "record.",
            many,
        )
    if sent < 2:
        return say_n(
            "Please return it, or tell us how the work stands and until when you need it.",
            "Please return them, or tell us how the work stands and until when you need them.",
            many,
        )
    return say_n(
        "Please return it within four weeks. Should it be missing or damaged, tell us that too, so that the record can say "
        "so. Until we hear from you we cannot make another loan to the institution.",
        "Please return them within four weeks. Should they be missing or damaged, tell us that too, so that the record can "
        "say so. Until we hear from you we cannot make another loan to the institution.",
        many,
    )

"""What to write to a borrower, the firmer the later and the oftener. Pure. The ledger sends nothing: the text is copied."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ledger.days import day_text
from ledger.record.wording import listed
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
    things = "1 specimen" if many == 1 else f"{many} specimens"
    it, them = ("is", "it") if many == 1 else ("are", "them")
    lines = [
        f"Dear {person},",
        "",
        _opening(number, collection, institution, lent_on, due_on, due, things, it),
    ]
    if sent_on:
        days = listed([day_text(day) for day in sent_on])
        lines += ["", f"We wrote to you about it on {days}."]
    lines += [
        "",
        f"Still with you {it}:",
        "",
        *parts,
        "",
        _request(due, len(sent_on), them),
        "",
        "With kind regards,",
        curator,
    ]
    lines.append(collection)
    return Reminder(_subject(number, due, len(sent_on)), "\n".join(lines), len(sent_on))


def _subject(number: str, due: Due, sent: int) -> str:
    if due.state == OVERDUE:
        return f"Loan {number} is {due.words}" + (f": reminder {sent + 1}" if sent else "")
    return f"Loan {number} is {due.words}"


def _opening(
    number: str,
    collection: str,
    institution: str,
    lent_on: date,
    due_on: date,
    due: Due,
    things: str,
    it: str,
) -> str:
    lent = f"on {day_text(lent_on)} we lent {institution} specimens of {collection}, as loan {number}."
    if due.state == OVERDUE:
        return f"{lent} It was due back on {day_text(due_on)}; {things} {it} {due.words} now."
    when = "today" if due.state == DUE_TODAY else f"on {day_text(due_on)}"
    return f"{lent} It falls due {when}."


def _request(due: Due, sent: int, them: str) -> str:
    if due.state != OVERDUE:
        return (
            f"Please return {them} by then. If the work needs more time, tell us until when, and we shall prolong the loan "
            "on record."
        )
    if sent < 2:
        return f"Please return {them}, or tell us how the work stands and until when you need {them}."
    return (
        f"Please return {them} within four weeks. Should {them} be missing or damaged, tell us that too, so that the record "
        "can say so. Until we hear from you we cannot make another loan to the institution."
    )

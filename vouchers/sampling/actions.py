"""Leave to cut: the only writers of it. Each is one transaction; what is refused has changed nothing."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone

from ledger.days import day_text
from ledger.moments import day_of
from ledger.people.models import Member
from ledger.record.visible import one_line
from ledger.words import in_english, say
from vouchers.loans.actions import locked_parts, refuse
from vouchers.loans.numbers import LEAVE
from vouchers.loans.refusals import LoanRefused
from vouchers.loans.series import next_number, open_series
from vouchers.sampling.models import Decision, SamplingLeave
from vouchers.sampling.purposes import PURPOSES
from vouchers.sampling.queries import warnings_of


@dataclass(frozen=True, slots=True)
class LeaveAsked:
    """Who asks to cut what, and why. `institution` may be empty: a member of the club asks too."""

    institution: str
    person: str
    address: str
    asked_on: date
    purpose: str
    purpose_words: str
    what: str


def ask(given: LeaveAsked, part_id: int, *, by: Member, now: datetime) -> SamplingLeave:
    """Take a request on the record. Nothing is granted with it."""
    open_series(LEAVE, now)
    with transaction.atomic():
        number = next_number(LEAVE, now)
        (part,) = locked_parts([part_id])
        refuse(
            [
                say(
                    "{number} ended on {day}: {why}. There is nothing to cut from.",
                    number=part.number,
                    day=day_of(part.ended_at),
                    why=part.ended_why,
                )
                if part.ended_at
                else "",
                ""
                if given.purpose in PURPOSES
                else say("That purpose is not on the list. Nothing was kept; choose one."),
                say(
                    "It cannot have been asked on {day}, which is still to come.",
                    day=day_text(given.asked_on),
                )
                if given.asked_on > timezone.localtime(now).date()
                else "",
            ]
        )
        return SamplingLeave.objects.create(
            **number,
            part=part,
            institution=given.institution,
            person=given.person,
            address=given.address,
            asked_on=given.asked_on,
            purpose=given.purpose,
            purpose_words=given.purpose_words,
            what=given.what,
            made_at=now,
            made_by=by,
        )


@transaction.atomic
def decide(leave_id: int, decision: str, *, words: str, by: Member, now: datetime) -> SamplingLeave:
    """Grant or refuse. The notes that were shown are kept with it; the decision is made once."""
    leave = _locked(leave_id)
    words = one_line(words, 300)
    if leave.decision:
        assert leave.decided_by is not None and leave.decided_at is not None
        raise LoanRefused(
            say(
                "{leave} was granted by {by} on {day}. Nothing was changed; a new request has a number of its own."
                if leave.decision == Decision.GRANTED
                else "{leave} was refused by {by} on {day}. Nothing was changed; a new request has a number of its own.",
                leave=leave,
                by=leave.decided_by.full_name,
                day=day_of(leave.decided_at),
            )
        )
    if decision not in (Decision.GRANTED, Decision.REFUSED):
        raise LoanRefused(
            say("It was not said whether leave is granted. {leave} waits still; choose one.", leave=leave)
        )
    if decision == Decision.REFUSED and not words:
        raise LoanRefused(
            say("The reason is missing. {leave} waits still; say why it is refused.", leave=leave)
        )
    if decision == Decision.GRANTED and leave.part.ended_at is not None:
        raise LoanRefused(
            say(
                "{number} is gone: {why}. {leave} waits still; refuse it.",
                number=leave.part.number,
                why=leave.part.ended_why,
                leave=leave,
            )
        )
    leave.decision, leave.decision_words = decision, words
    leave.decided_by, leave.decided_at = by, now
    with in_english():
        leave.warned = "\n".join(warnings_of(leave))
    leave.save(update_fields=["decision", "decision_words", "decided_by", "decided_at", "warned"])
    return leave


@transaction.atomic
def note_cut(leave_id: int, *, cut_on: date, cut_by: str, cut_what: str, now: datetime) -> SamplingLeave:
    """Note what was cut under a leave, when and by whom: it goes onto the annotation slip. Once."""
    leave = _locked(leave_id)
    cut_by, cut_what = one_line(cut_by, 120), one_line(cut_what, 200)
    if leave.decision != Decision.GRANTED:
        raise LoanRefused(
            say(
                "{leave} was refused, so nothing may be cut under it. Nothing was noted."
                if leave.decision
                else "{leave} was not decided on, so nothing may be cut under it. Nothing was noted.",
                leave=leave,
            )
        )
    if leave.cut_on is not None:
        raise LoanRefused(
            say(
                "The cut under {leave} was noted: {day}, {what}. Nothing was changed; another cut needs another leave.",
                leave=leave,
                day=day_text(leave.cut_on),
                what=leave.cut_what,
            )
        )
    assert leave.decided_at is not None
    granted_on = timezone.localtime(leave.decided_at).date()
    today = timezone.localtime(now).date()
    refuse(
        [
            ""
            if granted_on <= cut_on <= today
            else say(
                "A cut on {day} cannot be under this leave: it was granted on {granted}, and the day must not be to come. "
                "Nothing was noted.",
                day=day_text(cut_on),
                granted=day_text(granted_on),
            ),
            "" if cut_by else say("Who cut is missing. Nothing was noted."),
            ""
            if cut_what
            else say("What was cut is missing. Nothing was noted; say from where and how much."),
        ]
    )
    leave.cut_on, leave.cut_by, leave.cut_what = cut_on, cut_by, cut_what
    leave.save(update_fields=["cut_on", "cut_by", "cut_what"])
    return leave


@transaction.atomic
def note_result(leave_id: int, *, result: str, now: datetime) -> SamplingLeave:
    """Note what came of it: where a sequence lies, that it failed. A later word follows the earlier one."""
    leave = _locked(leave_id)
    result = one_line(result, 400)
    if leave.cut_on is None:
        raise LoanRefused(
            say(
                "No cut under {leave} was noted, so it has no result. Nothing was noted; note the cut first.",
                leave=leave,
            )
        )
    if not result:
        raise LoanRefused(
            say("The words are missing. Nothing was noted; say what came of it, also that it failed.")
        )
    if leave.result:
        result = f"{leave.result}; {result}"
    if len(result) > 400:
        raise LoanRefused(
            say(
                "Together with what was noted before, these words are longer than 400 signs. Make them shorter."
            )
        )
    leave.result, leave.result_at = result, now
    leave.save(update_fields=["result", "result_at"])
    return leave


def _locked(leave_id: int) -> SamplingLeave:
    rows = SamplingLeave.objects.select_for_update(of=("self",)).select_related("part__voucher", "decided_by")
    return rows.get(pk=leave_id)

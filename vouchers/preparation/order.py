"""The order in which a specimen is prepared: measured fresh, spore print, drier, freezer, packet. Pure.

What cannot have happened is refused: out of a drier it was never in. What is only left out is asked about, and goes on with
a word why: books and clubs differ on what a specimen needs, so nothing here is right or wrong.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from ledger.days import time_text
from ledger.words import Later, later, say

MEASURED, PRINT, TISSUE = "measured", "print", "tissue"
INTO_DRIER, LONGER, OUT_OF_DRIER = "drier in", "longer", "drier out"
INTO_FREEZER, OUT_OF_FREEZER = "freezer in", "freezer out"
PACKET, LEFT_OUT, WITHDRAWN = "packet", "left out", "withdrawn"

WORDS: Mapping[str, Later] = {
    MEASURED: later("measured fresh"),
    PRINT: later("spore print taken"),
    TISSUE: later("tissue taken"),
    INTO_DRIER: later("into the drier"),
    LONGER: later("longer in the drier"),
    OUT_OF_DRIER: later("out of the drier"),
    INTO_FREEZER: later("into the freezer"),
    OUT_OF_FREEZER: later("out of the freezer"),
    PACKET: later("into the packet"),
    LEFT_OUT: later("left out"),
    WITHDRAWN: later("withdrawn"),
}
# What can be left out, beside the traits of the vocabulary that only fresh material shows.
SPORE_PRINT, DRYING, FREEZING = "spore print", "drying", "freezing"
SUBJECT_WORDS: Mapping[str, Later] = {
    SPORE_PRINT: later("spore print"),
    DRYING: later("drying"),
    FREEZING: later("freezing"),
}
# Where it lies; told as it stands, and written into no row.
AT_HAND, IN_DRIER = later("at hand"), later("in the drier")
IN_FREEZER, IN_PACKET = later("in the freezer"), later("in its packet")
_LEADS_TO: Mapping[str, Later] = {
    INTO_DRIER: IN_DRIER,
    OUT_OF_DRIER: AT_HAND,
    INTO_FREEZER: IN_FREEZER,
    OUT_OF_FREEZER: AT_HAND,
    PACKET: IN_PACKET,
}


class OrderError(ValueError):
    """A step that cannot have happened then; the text says why and what to do."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what, when, its number in the order of writing, and what was left out with it."""

    kind: str
    at: datetime
    number: int = 0
    subjects: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class State:
    """Where a specimen is in its preparation. `since` is when it came to where it lies; None at hand from the start."""

    where: Later = AT_HAND
    since: datetime | None = None
    drying_began_at: datetime | None = None
    dried_at: datetime | None = None
    frozen_at: datetime | None = None
    print_taken: bool = False
    left_out: frozenset[str] = frozenset()

    @property
    def is_fresh(self) -> bool:
        """Whether what drying destroys can still be read."""
        return self.drying_began_at is None and self.frozen_at is None and self.where == AT_HAND


def replay(steps: Iterable[Step]) -> State:
    """Return where the steps lead, in the order of their times. OrderError names the first that cannot have happened."""
    state = State()
    for step in sorted(steps, key=lambda step: (step.at, step.number)):
        state = after(state, step)
    return state


def after(state: State, step: Step) -> State:
    """Return the state after one more step; OrderError where it cannot have happened then."""
    refusal = _refusal(state, step.kind)
    if refusal:
        raise OrderError(refusal)
    if step.kind == PRINT:
        return replace(state, print_taken=True)
    if step.kind == LEFT_OUT:
        return replace(state, left_out=state.left_out | set(step.subjects))
    if step.kind not in _LEADS_TO:
        return state
    state = replace(state, where=_LEADS_TO[step.kind], since=step.at)
    if step.kind == INTO_DRIER:
        return replace(state, drying_began_at=state.drying_began_at or step.at)
    if step.kind == OUT_OF_DRIER:
        return replace(state, dried_at=step.at)
    if step.kind in (INTO_FREEZER, OUT_OF_FREEZER):
        return replace(state, frozen_at=step.at)
    return state


def asked_before(kind: str, state: State, missed: Sequence[str]) -> tuple[str, ...]:
    """Return what to do now, or to say why not, before a step of this kind: subjects, in the order hands do things.

    `missed` are the fresh-only steps not done (`missed.missed_fresh_only`). Nothing is asked that was left out before.
    """
    asked: list[str] = []
    if kind == INTO_DRIER and state.is_fresh:
        asked += missed
    if kind in (INTO_FREEZER, PACKET) and state.dried_at is None:
        asked.append(DRYING)
    if kind == PACKET and state.frozen_at is None:
        asked.append(FREEZING)
    return tuple(subject for subject in asked if subject not in state.left_out)


def next_kinds(state: State) -> tuple[str, ...]:
    """The steps that can follow, the customary next one first."""
    if state.where == IN_DRIER:
        return (OUT_OF_DRIER, LONGER)
    if state.where == IN_FREEZER:
        return (OUT_OF_FREEZER,)
    if state.where == IN_PACKET:
        return (INTO_FREEZER, INTO_DRIER, TISSUE)
    if state.is_fresh:
        return (MEASURED, PRINT, TISSUE, INTO_DRIER, INTO_FREEZER, PACKET)
    if state.frozen_at is None:
        return (INTO_FREEZER, PACKET, INTO_DRIER, TISSUE)
    return (PACKET, INTO_FREEZER, INTO_DRIER, TISSUE)


def _refusal(state: State, kind: str) -> str:
    if kind in (LEFT_OUT, TISSUE) and kind in WORDS:
        return ""
    if kind in (MEASURED, PRINT):
        if state.is_fresh:
            return ""
        return (
            say("it was fresh no longer then. If it was done before, give the day and hour when it was done")
            if state.drying_began_at or state.frozen_at
            else say("it is {where}", where=state.where)
        )
    if kind in (LONGER, OUT_OF_DRIER):
        return "" if state.where == IN_DRIER else _not_there(state, IN_DRIER)
    if kind == OUT_OF_FREEZER:
        return "" if state.where == IN_FREEZER else _not_there(state, IN_FREEZER)
    if kind == INTO_DRIER and state.where in (IN_DRIER, IN_FREEZER):
        return _is_there(state, IN_DRIER)
    if kind == INTO_FREEZER and state.where in (IN_DRIER, IN_FREEZER):
        return _is_there(state, IN_FREEZER)
    if kind == PACKET and state.where != AT_HAND:
        return _is_there(state, IN_PACKET)
    if kind in WORDS and kind != WITHDRAWN:
        return ""
    return say("{step} is no step of a preparation", step=repr(kind[:20]))


def _not_there(state: State, wanted: Later) -> str:
    if not state.since:
        return say("it was not {wanted} then, but {where}", wanted=wanted, where=state.where)
    return say(
        "it was not {wanted} then, but {where} since {time}",
        wanted=wanted,
        where=state.where,
        time=time_text(state.since),
    )


def _is_there(state: State, wanted: Later) -> str:
    since = time_text(state.since) if state.since else ""
    if state.where == wanted:
        return (
            say("it is {where} already since {time}", where=wanted, time=since)
            if since
            else say("it is {where} already", where=wanted)
        )
    return (
        say("it is {where} since {time}. Take it out first", where=state.where, time=since)
        if since
        else say("it is {where}. Take it out first", where=state.where)
    )

"""What is done with each find of the soak, in which order, and by whom. Pure: what stands on record in, the next step out.

Nobody remembers how far a step came before a crash. So whoever carries a find looks how it stands, does the one thing that
is missing, and looks again.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

ACCESSION, PREPARE, ADD, LABEL, STORE, SPLIT = "accession", "prepare", "add a part", "label", "store", "split"
SEND, LEND, TAKE_BACK, DEACCESSION = "send a duplicate", "lend", "take back", "deaccession"
STOCKTAKE = "stocktake"
STEPS = (ACCESSION, PREPARE, ADD, LABEL, STORE, SPLIT, SEND, LEND, TAKE_BACK, DEACCESSION, STOCKTAKE)

FIRST = ("drier in", "drier out", "freezer in", "freezer out", "packet")
AFTER_A_LOAN = ("freezer in", "freezer out", "packet")
KINDS = {"S": "slide", "D": "duplicate"}

SHELL, WEB, EITHER, CHROMIUM = "shell", "web", "either", "chromium"
# Finds come in fours: one of each is for the shells alone, one of some for the pages alone, the others for whoever comes
# first. Of so many fours in a row, the second is mixed collections, the third leaves the collection in the end. The first
# three have it all, so that a small run has as well; pages take longer than a prompt.
FOURS, SPLIT_AT, LEAVES_AT, BY_PAGES_ALONE = 12, 1, 2, (0, 1, 2, 6)


@dataclass(frozen=True, slots=True)
class Job:
    """One find to be carried. `boxes`: numbers of the two places it goes to, before and after its loan."""

    place: int
    find: str
    turn: str
    boxes: tuple[int, int]
    splits: bool
    leaves: bool


def jobs_of(finds: Sequence[str], boxes: Sequence[int], *, by_chromium: int) -> list[Job]:
    """The last few finds are for Chromium alone, which puts them into the last box in the end, where nobody else does.

    In every other box something lies in the end, so that whoever is to take stock of it has not to wait for ever.
    """
    *shared, last = boxes
    made = []
    for place, find in enumerate(finds):
        before, after = shared[place % len(shared)], shared[(5 * place + 1) % len(shared)]
        turn, group = EITHER, place // 4 % FOURS
        if place % 4 == 0 and group in BY_PAGES_ALONE:
            turn = WEB
        elif place % 4 == 1:
            turn = SHELL
        if (left := len(finds) - place) <= by_chromium:
            turn, group, after = CHROMIUM, left - 1, last
        made.append(Job(place, find, turn, (before, after), group == SPLIT_AT, group == LEAVES_AT))
    return made


@dataclass(frozen=True, slots=True)
class Standing:
    """How a find stands on record. `parts`: suffix -> number of its place, 0 for none; those that ended are left out.

    `steps`: kinds of its preparation in their order; `labels`: kinds of labels that were made; `loan`: that it is out on.
    """

    find: str
    number: str = ""
    steps: tuple[str, ...] = ()
    parts: Mapping[str, int] = field(default_factory=dict)
    had: frozenset[str] = frozenset()  # letters of all parts ever made
    labels: frozenset[str] = frozenset()
    was_lent: bool = False
    loan: str = ""
    is_gone: bool = False
    shares: tuple["Standing", ...] = ()

    def part(self, suffix: str) -> str:
        return f"{self.number} {suffix}".rstrip()

    def outside(self, box: int) -> list[str]:
        """Numbers of the parts that are not in that place."""
        return [self.part(suffix) for suffix, place in self.parts.items() if place != box]


@dataclass(frozen=True, slots=True)
class Next:
    """One step: of which find, and what else it needs: a kind of step or part, the number of a place, numbers of parts."""

    step: str
    of: Standing
    what: str = ""
    box: int = 0
    numbers: tuple[str, ...] = ()


def next_step(job: Job, now: Standing) -> Next | None:
    """The one thing to do next, or None where the find has gone its whole way."""
    if not now.number:
        return Next(ACCESSION, now)
    if now.is_gone:
        return None
    if now.shares:
        # Made by somebody who did not know yet that it was split: a part of the mixture, which has no place.
        if out := [now.part(suffix) for suffix, place in now.parts.items() if not place]:
            return Next(STORE, now, box=job.boxes[0], numbers=tuple(out))
        return next((step for share in now.shares if (step := _of_a_share(job, share))), None)
    if len(now.steps) < len(FIRST):
        return Next(PREPARE, now, FIRST[len(now.steps)])
    for letter, kind in KINDS.items():
        if letter not in now.had:
            return Next(ADD, now, kind)
    if "packet" not in now.labels:
        return Next(LABEL, now)
    if not now.was_lent and (out := now.outside(job.boxes[0])):
        return Next(STORE, now, box=job.boxes[0], numbers=tuple(out))
    if job.splits:
        return Next(SPLIT, now)
    return _abroad(job, now)


def _abroad(job: Job, now: Standing) -> Next | None:
    """Duplicates go in exchange, the packet on loan and, when it is back, into the freezer and to another place."""
    if duplicates := [now.part(suffix) for suffix in now.parts if suffix.startswith("D")]:
        return Next(SEND, now, numbers=tuple(duplicates))
    if not now.was_lent:
        return Next(LEND, now, numbers=(now.number,))
    if now.loan:
        return Next(TAKE_BACK, now, now.loan, numbers=(now.number,))
    # By the last of them, not by how many: somebody may have put it in once more, a moment after it was taken out.
    again = AFTER_A_LOAN.index(now.steps[-1]) + 1 if len(now.steps) > len(FIRST) else 0
    if again < len(AFTER_A_LOAN):
        return Next(PREPARE, now, AFTER_A_LOAN[again])
    if out := now.outside(job.boxes[1]):
        return Next(STORE, now, box=job.boxes[1], numbers=tuple(out))
    return Next(DEACCESSION, now) if job.leaves else None


def _of_a_share(job: Job, share: Standing) -> Next | None:
    if "packet" not in share.labels:
        return Next(LABEL, share)
    if out := share.outside(job.boxes[1]):
        return Next(STORE, share, box=job.boxes[1], numbers=tuple(out))
    return None

"""What waits for the curator: held finds, the worst first, and finds that are with their finders."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Min, Prefetch, Q

from ledger.bench.models import Flag, Question
from ledger.finds import tables
from ledger.finds.models import Find, Status
from ledger.record.flags import severity_rank
from ledger.taxa.queries import vocabulary
from ledger.words import lowered, say, say_again, together

# What the side list shows at most; beyond it the list says how many more there are.
MOST_IN_LIST = 100


@dataclass(frozen=True, slots=True)
class HeldRow:
    """One held find as a row of the bench. `severity`, `short` and `sentence` are those of its worst open flag."""

    find: Find
    severity: str
    short: str
    sentence: str
    days: int
    answered: bool


@dataclass(frozen=True, slots=True)
class WaitingRow:
    """One find that is with its finder, and the question it waits with."""

    find: Find
    question: Question
    days: int


@dataclass(frozen=True, slots=True)
class Bench:
    """The list of held finds with its count; `oldest_days` is None where nothing is held."""

    rows: Sequence[HeldRow]
    held: int
    oldest_days: int | None

    @property
    def more(self) -> int:
        return self.held - len(self.rows)


def bench(now: datetime) -> Bench:
    """Held finds, the worst first, then the oldest; see FindQuerySet.for_bench. Four queries, however many are held."""
    finds = Find.objects.for_bench()
    shown = finds.prefetch_related(
        Prefetch("flags", Flag.objects.filter(settled_at__isnull=True, withdrawn_at__isnull=True)),
        Prefetch("questions", Question.objects.filter(answered_at__isnull=False)),
    )[:MOST_IN_LIST]
    rows = [_held_row(find, now) for find in shown]
    if len(rows) < MOST_IN_LIST:
        oldest = min((row.find.logged_at for row in rows), default=None)
        return Bench(rows, len(rows), None if oldest is None else (now - oldest).days)
    held = Find.objects.filter(status=Status.HELD)
    oldest = held.aggregate(at=Min("logged_at"))["at"]
    return Bench(rows, held.count(), (now - oldest).days)


def waiting(now: datetime) -> list[WaitingRow]:
    """Finds sent back and not answered yet, the longest wait first; MOST_IN_LIST of them."""
    asked = Question.objects.filter(answered_at__isnull=True, find__status=Status.SENT_BACK)
    longest = list(asked.order_by("asked_at", "id").values_list("find_id", flat=True)[:MOST_IN_LIST])
    finds = (
        Find.objects.for_list()
        .filter(pk__in=longest)
        .order_by()
        .prefetch_related(
            Prefetch(
                "questions", Question.objects.filter(answered_at__isnull=True).order_by("asked_at", "id")
            )
        )
    )
    rows = []
    for find in finds:
        question = next(iter(find.questions.all()), None)
        if question is not None:
            rows.append(WaitingRow(find, question, (now - question.asked_at).days))
    return sorted(rows, key=lambda row: row.question.asked_at)


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a held find stands on the bench, so that what follows it is found when it is there no longer."""

    worst_flag: int
    worst_flag_rank: int
    logged_at: datetime
    id: UUID


def standing_of(find_id: UUID) -> Standing | None:
    """Where the find stands now; None where it is not held."""
    row = (
        Find.objects.for_bench()
        .filter(pk=find_id)
        .values_list("worst_flag", "worst_flag_rank", "logged_at", "pk")
    )
    found = row.first()
    return Standing(*found) if found else None


def after(find_id: UUID, stood: Standing | None) -> UUID | None:
    """The find to open after *find_id* was decided on.

    `stood`: where it was before. What followed there and is still held comes next, then the worst of the rest. None:
    nothing is held any more.
    """
    held = Find.objects.for_bench().exclude(pk=find_id)
    if stood is not None:
        for behind in _behind(stood):
            following = held.filter(behind).values_list("pk", flat=True).first()
            if following is not None:
                return following
    worst: UUID | None = held.values_list("pk", flat=True).first()
    return worst


def _behind(stood: Standing) -> list[Q]:
    """What follows in the order of the bench, nearest first; each is a run of its index."""
    as_bad = Q(worst_flag=stood.worst_flag)
    of_kind = as_bad & Q(worst_flag_rank=stood.worst_flag_rank)
    return [
        of_kind & Q(logged_at=stood.logged_at, pk__gt=stood.id),
        of_kind & Q(logged_at__gt=stood.logged_at),
        as_bad & Q(worst_flag_rank__gt=stood.worst_flag_rank),
        Q(worst_flag__lt=stood.worst_flag),
    ]


def short_sentence(flag: Flag) -> str:
    """A flag in half a line: what was measured and what is documented, else what the table calls it."""
    trait = vocabulary().traits.get(flag.subject)
    measured, documented = flag.numbers.get("measured"), flag.numbers.get("documented")
    if trait and measured and documented:
        # "Cap width, along the wood": the rest is for whoever measures
        values = {
            "trait": say(trait.label).partition(",")[0],
            "measured": _said_again(flag, "measured", measured),
            "documented": _said_again(flag, "documented", documented),
        }
        # The rule is the club's: no book is made to say it.
        if flag.code == "house_rule":
            return say("{trait} {measured}; club’s rule {documented}", **values)
        return say("{trait} {measured}; documented {documented}", **values)
    return short_name(flag)


def _said_again(flag: Flag, value: str, in_english: str) -> str:
    """A value of the flag's sentence in the reader's language; as its numbers have it where that cannot be said again."""
    kept = (flag.said or {}).get("v", {}).get(value)
    return say_again(kept) if isinstance(kept, dict) else in_english


def short_name(flag: Flag) -> str:
    """What the table calls it, with the trait it is about: "Trait outside: cap width"."""
    kind, trait = tables.flag_table().kinds.get(flag.code), vocabulary().traits.get(flag.subject)
    label = say(kind.label) if kind else flag.code
    return together([label, lowered(trait.label)], ": ") if trait else label


def worst_first(flags: Sequence[Flag]) -> list[Flag]:
    """Flags in the order of the table: by severity, then as the table lists their kinds."""
    place = tables.flag_places()
    return sorted(
        flags, key=lambda flag: (-severity_rank(flag.severity), place.get(flag.code, len(place)), flag.pk)
    )


def _held_row(find: Find, now: datetime) -> HeldRow:
    worst = next(iter(worst_first(find.flags.all())), None)
    answered = bool(find.questions.all())
    return HeldRow(
        find=find,
        severity=worst.severity if worst else "note",
        short=short_sentence(worst) if worst else say("Answered by its finder"),
        sentence=worst.in_words if worst else say("Its finder has answered; nothing else is flagged."),
        days=(now - find.logged_at).days,
        answered=answered,
    )

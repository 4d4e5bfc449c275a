"""The plan of the demo: which finds, when, where, by whom, and what becomes of them. From a seed; it writes no row."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from random import Random

from ledger.demo import questionable
from ledger.demo.making import Maker
from ledger.demo.measured import measured_finds
from ledger.demo.planned import Ask, Fate, PlannedFind, Rename
from ledger.demo.scene import Kind, Outing, Person, Scene
from ledger.demo.specimens import MICROSCOPE, reading_of
from ledger.traits.documented import row_months
from ledger.traits.reference import Reference

SEED = "wenlow vale"
FIRST_DAY = date(2024, 12, 1)
LAST_DAY = date(2026, 11, 20)
LAST_BENCH = date(2026, 11, 22)
# How busy the club is, month by month (common practice, no source: most forays in autumn, some winter wood).
BUSY = {1: 7, 2: 6, 3: 5, 4: 4, 5: 3, 6: 3, 7: 4, 8: 5, 9: 11, 10: 17, 11: 14, 12: 5}
VOUCHERS_PER_FIND = 0.2
WAITING_QUESTIONS = 5

_QUESTIONS = (
    (
        "Which way did the pores run, and did you count along or across the cap?",
        "Along the cap, in the middle of it, at three places.",
    ),
    (
        "Was there a bare rim on the underside, and how wide?",
        "Yes, a millimetre or a little more, paler than the rest.",
    ),
    (
        "Is a piece of bark in the bag? The host decides here.",
        "There is, with a bud on the twig. It is in the packet.",
    ),
    (
        "Did the cap bend without breaking when you took it?",
        "It bent. After a night indoors it did not.",
    ),
    (
        "Were the pores white when you found it?",
        "As I noted them; by the evening they had browned in the bag.",
    ),
    (
        "The photo of the underside is not sharp. Can you take another with the scale beside it?",
        "The lens was wet. The packet is with you now; I have nothing better.",
    ),
)
_SETTLED = (
    "Looked at with the photos; the readings agree with the name.",
    "Packet opened: underside and surface as read.",
    "Compared with a named specimen in the drawer; agrees.",
    "Counted the pores again on the dried cap; within what was read.",
    "Agrees. Host told from the bark in the packet.",
)
_BASES = ("lens", "compared with a named specimen", "spores measured", "KOH")


@dataclass(frozen=True, slots=True)
class Plan:
    """All finds in the order in which they are logged, and the evenings the curators sit at the bench."""

    finds: tuple[PlannedFind, ...]
    bench_evenings: tuple[datetime, ...]


def plan_demo(scene: Scene, reference: Reference, count: int) -> Plan:
    """Plan *count* finds, the held ones among them. The same arguments give the same plan."""
    maker = Maker(scene, reference, f"{SEED} {count}")
    measured = measured_finds(maker)
    ordinary = _ordinary(maker, max(0, count - len(questionable.HELD) - len(measured)))
    evenings = bench_evenings(maker)
    ordinary = _with_fates(maker.rng, scene, reference, ordinary, count)
    held = [replace(made, fate=replace(made.fate, held=True)) for made in questionable.held_finds(maker)]
    finds = sorted(
        [*ordinary, *measured, *held], key=lambda find: (find.logged_at, find.finder.collector_code)
    )
    return Plan(tuple(finds), evenings)


def bench_evenings(maker: Maker) -> tuple[datetime, ...]:
    """Every other Thursday at seven, and one more at the end."""
    day, evenings = date(2025, 1, 9), []
    while day < LAST_DAY:
        evenings.append(datetime.combine(day, time(19), maker.zone))
        day += timedelta(days=14)
    return (*evenings, datetime.combine(LAST_BENCH, time(19), maker.zone))


def _ordinary(maker: Maker, count: int) -> list[PlannedFind]:
    return [_one(maker, kind) for kind in _kinds(maker.rng, maker.scene, count)]


def _kinds(rng: Random, scene: Scene, count: int) -> list[Kind]:
    """Kinds by their share, in whole numbers that sum to *count*; the sensitive ones always, where there is room."""
    kinds = list(scene.kinds.values())
    total = sum(kind.share for kind in kinds)
    exact = {kind.taxon: kind.share * count / total for kind in kinds}
    whole = {taxon: int(value) for taxon, value in exact.items()}
    for taxon in scene.sensitive:
        whole[taxon] = max(whole[taxon], 1)
    left = sorted(exact, key=lambda taxon: (whole[taxon] - exact[taxon], taxon))
    missing = count - sum(whole.values())
    for taxon in left[: max(0, missing)]:
        whole[taxon] += 1
    chosen = [scene.kinds[taxon] for taxon, number in whole.items() for _ in range(number)]
    rng.shuffle(chosen)
    return chosen[:count]


def _one(maker: Maker, kind: Kind) -> PlannedFind:
    rng, scene = maker.rng, maker.scene
    months = _documented_months(maker, kind)
    outings = [
        outing
        for outing in scene.outings
        if outing.on.month in months and set(scene.woods[outing.wood].trees) & set(kind.hosts)
    ]
    outing: Outing | None = None
    if outings and rng.random() < 0.5:
        outing = rng.choice(outings)
        wood, day = scene.woods[outing.wood], outing.on
    else:
        wood = rng.choice([one for one in scene.woods.values() if set(one.trees) & set(kind.hosts)])
        day = _day(rng, months)
    finder = _finder(rng, scene, day, outing)
    hour = rng.randint(17, 19) if outing and "evening" in outing.name else rng.randint(9, 15)
    found = datetime.combine(day, time(hour, rng.randint(0, 59)))
    state = rng.choices(("fresh", "moist", "air-dry", "weathered"), (84, 5, 5, 6))[0]
    age = rng.choices(("mature", "young", "old", "mixed", ""), (72, 6, 8, 8, 6))[0]
    tree = rng.choice([one for one in wood.trees if one in kind.hosts])
    return maker.find(
        kind, wood=wood, tree=tree, finder=finder, found=found, outing=outing, state=state, age=age
    )


def _documented_months(maker: Maker, kind: Kind) -> frozenset[int]:
    """The months in which the club finds it, of those that the books have."""
    rows = maker.reference.ranges_for(kind.taxon, "fruiting_months")
    known = frozenset().union(*(row_months(row) for row in rows))
    return frozenset(kind.months) & known or known or frozenset(kind.months)


def _day(rng: Random, months: frozenset[int]) -> date:
    """A day of those months, in the two years, as busy as the club is then."""
    days = [
        FIRST_DAY + timedelta(days=number)
        for number in range((LAST_DAY - FIRST_DAY).days + 1)
        if (FIRST_DAY + timedelta(days=number)).month in months
    ]
    # A weekend day is three times as likely.
    return rng.choices(days, [BUSY[day.month] * (3 if day.weekday() > 4 else 1) for day in days])[0]


def _finder(rng: Random, scene: Scene, day: date, outing: Outing | None) -> Person:
    there = [person for person in scene.people if person.joined <= day]
    weights = [
        person.eager * (2 if outing and person.sign_in_name == outing.leader else 1) for person in there
    ]
    return rng.choices(there, weights)[0]


def _with_fates(
    rng: Random, scene: Scene, reference: Reference, finds: Sequence[PlannedFind], count: int
) -> list[PlannedFind]:
    """Give each its name as typed, what is measured later, and what the curators do with it."""
    made = [_named(rng, scene, reference, find) for find in finds]
    made = [_measured_later(rng, reference, find) for find in made]
    late = datetime(2026, 10, 20, tzinfo=finds[0].logged_at.tzinfo) if finds else None
    for index, find in enumerate(made):
        fate = find.fate
        recent = late is not None and find.logged_at > late
        if recent:
            fate = Fate()  # the curators have not come to it yet
        elif fate.rename is None and rng.random() < 0.42:
            fate = replace(fate, settle=rng.choice(_SETTLED), rest_days=rng.choice((0, 0, 10, 25)))
            if rng.random() < 0.12:
                question, answer = rng.choice(_QUESTIONS)
                fate = replace(fate, ask=Ask(question, answer, rng.randint(1, 6)))
        made[index] = replace(find, fate=fate)
    recent_ones = [index for index, find in enumerate(made) if late is not None and find.logged_at > late]
    asked = rng.sample(recent_ones, min(WAITING_QUESTIONS, len(recent_ones) // 3))
    for index in asked:
        made[index] = replace(made[index], fate=Fate(ask=Ask(rng.choice(_QUESTIONS)[0], None)))
    fit = [
        index
        for index, find in enumerate(made)
        if find.record["kept"] and index not in asked and find.logged_at.date() < date(2026, 11, 10)
    ]
    for index in rng.sample(fit, min(len(fit), round(count * VOUCHERS_PER_FIND))):
        made[index] = replace(made[index], fate=replace(made[index].fate, voucher=True))
    return made


def _named(rng: Random, scene: Scene, reference: Reference, find: PlannedFind) -> PlannedFind:
    """Mostly the right name; now and then a synonym, a doubt, a genus, a group, nothing, or a look-alike's name."""
    taxon = find.taxon
    genus, epithet = taxon.split()[:2]
    wrong = [named for named, actual in scene.confused if actual == taxon]
    synonyms = reference.taxa[taxon].synonyms
    way = rng.random()
    rename = Rename(taxon, rng.choice(_BASES), "")
    if way < 0.06 and wrong:
        note = "The trait that parts the two was looked at under the lens; see the photos."
        return replace(find, name=rng.choice(wrong), fate=Fate(rename=replace(rename, note=note)))
    if way < 0.10:
        return replace(find, name=f"{genus} cf. {epithet}", fate=Fate(rename=rename))
    if way < 0.13:
        return replace(find, name=f"{genus} sp.", fate=Fate(rename=rename) if way < 0.12 else Fate())
    if way < 0.15:
        return replace(find, name=f"{taxon} group")
    if way < 0.17:
        return replace(find, name="", basis="", fate=Fate(rename=rename) if way < 0.16 else Fate())
    if way < 0.21 and synonyms:
        return replace(find, name=rng.choice(synonyms))
    if way < 0.24:
        note = "Second opinion: the same name."
        return replace(find, fate=Fate(rename=replace(rename, basis="spores measured", note=note)))
    return find


def _measured_later(rng: Random, reference: Reference, find: PlannedFind) -> PlannedFind:
    """Spores, measured at home from a deposit some nights later."""
    if rng.random() > 0.07:
        return find
    later = {}
    for code in MICROSCOPE:
        entry = reading_of(
            reference, find.taxon, reference.vocabulary.traits[code], rng, state="fresh", age="mature"
        )
        if entry is not None:
            later[code] = entry
    return replace(find, later=later, later_days=rng.randint(1, 5))

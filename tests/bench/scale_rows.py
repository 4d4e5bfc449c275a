"""A club of any size, drawn by seed: finds with names, readings, flags, questions, history and vouchers as plain rows.

Everything but the finds is of one size: 120 members, 1,500 forays, 4,000 places, the taxa of the reference. So what differs
between two clubs is how many finds they have. Rows are dicts from field to value, by model.
"""

import json
import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

from vouchers.register.chain import BEGINNING, Head, next_row

MEMBERS, FORAYS, PLACES = 120, 1500, 4000
FIRST_YEAR, LAST_YEAR = 2006, 2026
READINGS = 10
AT_ONCE = 5000

# How many of 1,000 finds are held, with their finders, settled; the rest wait for nobody.
_HELD, _SENT_BACK, _SETTLED = 20, 2, 80
_VOUCHERS, _UNKNOWN, _UNNAMED, _GUEST = 100, 60, 40, 30
# Finds by month, January first: an autumn's curve (our own, nobody's data).
_MONTHS = (3, 3, 3, 3, 4, 4, 5, 8, 16, 25, 18, 8)

_FIRST = [
    "Ada",
    "Łukasz",
    "Zoë",
    "Carys",
    "Émile",
    "Søren",
    "Bríd",
    "Marek",
    "Ines",
    "Piotr",
    "Olwen",
    "Tamsin",
    "Ivo",
    "Greta",
    "Hamo",
    "Jago",
    "Kerra",
    "Lowen",
    "Merryn",
    "Nessa",
]
_LAST = [
    "Thorne",
    "Oakley",
    "Marsh",
    "Bowen",
    "Penrose",
    "Łącki",
    "Vaughan",
    "Ashdown",
    "Holt",
    "Fenwick",
    "Garth",
    "Ives",
    "Jory",
    "Kemp",
    "Lisle",
    "Moon",
]
_WOODS = [
    "Hollin",
    "Alder",
    "Otter",
    "Bowl",
    "Raven",
    "Thorn",
    "Ash",
    "Birch",
    "Cold",
    "Deep",
    "East",
    "Fern",
    "Gorse",
    "Heron",
    "Iron",
    "King",
    "Long",
    "Mill",
    "Nether",
    "Old",
]
_KINDS = ["Wood", "Copse", "Park", "Quarry", "Common", "Hanger", "Carr", "Plantation", "Dell", "Bank"]
_WHERE = [
    "below the quarry", "by the ford", "north ride", "west gate", "at the weir", "near the barrow", "upper path",
    "behind the mill", "old hedge", "south slope",
]  # fmt: skip
_HOSTS = [
    "Fagus sylvatica",
    "Quercus robur",
    "Betula pendula",
    "Pinus sylvestris",
    "Picea abies",
    "Salix caprea",
    "Alnus glutinosa",
    "",
]
_UNKNOWN_NAMES = ("Xylaria sp.", "Stereum cf. rugosum", "Peniophora sp.", "Postia s.l.", "Hypoxylon sp.")
_FLAGS = (
    ("trait_outside", "doubt", 2), ("photos_missing", "doubt", 2), ("place_at_sea", "doubt", 2),
    ("host_outside", "stop", 3), ("number_gap", "note", 1), ("season_outside", "doubt", 2),
)  # fmt: skip
_TRAITS: tuple[tuple[str, str, Any], ...] = (
    ("underside", "", ["pores", "maze", "gills"]),
    ("flexibility", "", ["flexible", "stiff"]),
    ("pore_surface_colour", "", ["white", "cream", "buff"]),
    ("cap_surface", "", ["smooth", "velvety", "hairy"]),
    ("zonation", "", ["zoned", "unzoned"]),
    ("cap_width", "mm", 60.0),
    ("cap_length", "mm", 38.0),
    ("cap_thickness", "mm", 9.0),
    ("pores_per_mm", "1/mm", 4.0),
    ("spore_length", "um", 6.5),
    ("host", "", ["hardwood", "conifer"]),
    ("rot", "", ["white rot", "brown rot"]),
)


Rows = dict[str, list[dict[str, Any]]]
TABLES = ("determination", "find", "reading", "flag", "question", "change", "voucher", "part", "entry")


@dataclass
class Club:
    """What the finds stand on: identities of members, taxa (name to identity) and forays; and the counters that go on."""

    taxa: list[tuple[int, str]]
    members: list[tuple[int, str]] = field(default_factory=list)
    forays: list[tuple[int, date, int]] = field(default_factory=list)
    serials: dict[int, int] = field(default_factory=dict)
    years: dict[int, int] = field(default_factory=dict)
    vouchers: int = 0
    head: Head = field(default_factory=lambda: Head(0, BEGINNING))


def member_names(draw: random.Random) -> Iterator[tuple[str, str]]:
    """Full name and collector's code, each once."""
    for number in range(MEMBERS):
        name = f"{draw.choice(_FIRST)} {draw.choice(_LAST)}"
        yield name, "Q" + chr(65 + number // 26) + chr(65 + number % 26)


def foray_rows(club: Club, draw: random.Random) -> Iterator[dict[str, Any]]:
    for _ in range(FORAYS):
        day = _day(draw)
        leader = draw.choice(club.members)[0]
        name = f"{draw.choice(_WOODS)} {draw.choice(_KINDS)}"
        yield {"name": name, "held_on": day, "place": draw.choice(_WHERE), "leader": leader}


def places(draw: random.Random) -> list[tuple[str, float, float]]:
    """Words and middle of each place: 60 clusters in the west of an island, and a few journeys."""
    middles = [(51.2 + draw.gauss(0, 0.4), -2.4 + draw.gauss(0, 0.6)) for _ in range(60)]
    found = []
    for _ in range(PLACES):
        if draw.random() < 0.03:
            latitude, longitude = draw.uniform(42, 60), draw.uniform(-4, 22)
        else:
            latitude, longitude = draw.choice(middles)
        words = f"{draw.choice(_WOODS)} {draw.choice(_KINDS)}, {draw.choice(_WHERE)}"
        found.append((words, latitude + draw.gauss(0, 0.02), longitude + draw.gauss(0, 0.03)))
    return found


def chunks(many: int, club: Club, draw: random.Random) -> Iterator[Rows]:
    """The rows of `many` finds, AT_ONCE finds at a time: table to rows. Identities of finds rise, days do not."""
    known = places(draw)
    # In order, so that a database fills its pages once; the day and all else is independent of it.
    step = (1 << 128) // (many + 1)
    weights = [1 / (rank + 3) for rank in range(len(club.taxa))]
    finders = [1 / (rank + 2) for rank in range(len(club.members))]
    number = 0
    for start in range(0, many, AT_ONCE):
        size = min(AT_ONCE, many - start)
        rows: Rows = {name: [] for name in TABLES}
        taxa = draw.choices(club.taxa, weights, k=size)
        people = draw.choices(club.members, finders, k=size)
        for taxon, member in zip(taxa, people, strict=True):
            number += 1
            identity = UUID(int=step * number + draw.getrandbits(60)).hex
            find = _find(identity, member, club, draw.choice(known), draw)
            _name(find, number, taxon, rows, draw)
            _decide(find, rows, draw)
            rows["reading"] += [_reading(find, trait, draw) for trait in draw.sample(_TRAITS, READINGS)]
            said = f"{find['collecting_code']} {find['collecting_serial']}"
            by, at = find["finder_id"], find["logged_at"]
            rows["change"].append(
                {"find_id": identity, "changed_at": at, "by_id": by, "field": "logged", "new": said}
            )
            if draw.randrange(1000) < _VOUCHERS:
                _accession(find, club, rows)
            rows["find"].append(find)
        yield rows


def _day(draw: random.Random) -> date:
    year = draw.randint(FIRST_YEAR, LAST_YEAR)
    (month,) = draw.choices(range(1, 13), _MONTHS)
    # Nobody finds anything after the day on which this was written.
    return min(date(year, month, draw.randint(1, 28)), date(LAST_YEAR, 11, 20))


def _find(
    identity: str, member: tuple[int, str], club: Club, where: tuple[str, float, float], draw: random.Random
) -> dict[str, Any]:
    foray = draw.choice(club.forays) if draw.random() < 0.5 else None
    day = foray[1] if foray else _day(draw)
    late = timedelta(
        days=draw.randrange(9), seconds=draw.randrange(30_000), microseconds=draw.randrange(10**6)
    )
    logged = datetime(day.year, day.month, day.day, 18, tzinfo=UTC) + late
    words, latitude, longitude = where
    member_id, code = member
    serial = club.serials[member_id] = club.serials.get(member_id, 0) + 1
    return {
        "id": identity,
        "finder_id": member_id,
        "logged_by_id": member_id,
        "collecting_code": code,
        "collecting_serial": serial,
        "found_on": None if draw.randrange(1000) == 0 else day,
        "latitude": round(latitude + draw.gauss(0, 0.002), 5),
        "longitude": round(longitude + draw.gauss(0, 0.002), 5),
        "uncertainty_m": float(draw.randrange(4, 60)),
        "position_source": "phone",
        "locality": words,
        "region": "Westshire",
        "country": "England",
        "host": draw.choice(_HOSTS),
        "foray_id": foray[0] if foray else None,
        "specimen_state": "fresh",
        "specimen_age": "mature",
        "current_determination_id": None,
        "status": "logged",
        "logged_at": logged,
        "changed_at": logged,
        "found_by": f"{draw.choice(_FIRST)} Guest" if draw.randrange(1000) < _GUEST else "",
    }


def _name(find: dict[str, Any], number: int, taxon: tuple[int, str], rows: Rows, draw: random.Random) -> None:
    chance = draw.randrange(1000)
    if chance < _UNNAMED:
        return
    is_unknown = chance < _UNNAMED + _UNKNOWN
    taxon_id, name = (None, draw.choice(_UNKNOWN_NAMES)) if is_unknown else taxon
    find["current_determination_id"] = number
    rows["determination"].append(
        {
            "id": number,
            "find_id": find["id"],
            "determiner_id": find["finder_id"],
            "determined_on": find["found_on"],
            "name_typed": name,
            "taxon_id": taxon_id,
            "made_at": find["logged_at"],
        }
    )


def _decide(find: dict[str, Any], rows: Rows, draw: random.Random) -> None:
    chance = draw.randrange(1000)
    if chance >= _HELD + _SENT_BACK + _SETTLED:
        return
    find["status"] = "held" if chance < _HELD else "sent back" if chance < _HELD + _SENT_BACK else "settled"
    at, by = find["logged_at"], find["finder_id"]
    raised = draw.sample(range(len(_FLAGS)), draw.randint(1, 3))
    is_settled = find["status"] == "settled"
    for place in raised:
        code, severity, _ = _FLAGS[place]
        flag = {
            "find_id": find["id"],
            "code": code,
            "severity": severity,
            "sentence": "Drawn by seed: it stands for a reason to look.",
            "numbers": "{}",
            "fingerprint": f"{code:0<64}",
            "raised_at": at,
            "settled_at": at if is_settled else None,
            "settled_by_id": by if is_settled else None,
            "settle_reason": "Looked at, and it holds." if is_settled else "",
        }
        rows["flag"].append(flag)
    if not is_settled:
        find["worst_flag"] = max(_FLAGS[place][2] for place in raised)
        find["worst_flag_rank"], find["open_flags"] = min(raised), len(raised)
    if find["status"] == "sent back":
        question = {
            "find_id": find["id"],
            "asked_by_id": by,
            "asked_at": at,
            "text": "Was it white when fresh?",
        }
        rows["question"].append(question)


def _reading(find: dict[str, Any], trait: tuple[str, str, Any], draw: random.Random) -> dict[str, Any]:
    code, unit, what = trait
    row: dict[str, Any] = {
        "find_id": find["id"],
        "trait": code,
        "read_by_id": find["finder_id"],
        "read_at": find["logged_at"],
    }
    if unit:
        values = [round(what * draw.uniform(0.6, 1.4), 1) for _ in range(draw.randint(1, 3))]
        return row | {"values": json.dumps(values), "states": "[]", "unit": unit, "resolution": 0.5}
    return row | {"values": "[]", "states": json.dumps([draw.choice(what)])}


def _accession(find: dict[str, Any], club: Club, rows: Rows) -> None:
    at, by, year = find["logged_at"], find["finder_id"], find["logged_at"].year
    serial = club.years[year] = club.years.get(year, 0) + 1
    number = f"BL {year}-{serial:04d}"
    find["accession_number"] = number
    club.vouchers += 1
    voucher = {"id": club.vouchers, "find_id": find["id"], "prefix": "BL", "year": year, "serial": serial}
    rows["voucher"].append(voucher | {"accessioned_at": at, "accessioned_by_id": by})
    rows["part"].append({"voucher_id": club.vouchers, "kind": "packet", "made_at": at, "made_by_id": by})
    facts = {"find": str(UUID(find["id"])), "at": at.isoformat(timespec="microseconds"), "by member": by}
    entry = next_row(club.head, kind="accession", accession_number=number, facts=facts)
    club.head = Head(entry.number, entry.digest)
    rows["entry"].append(
        {
            name: getattr(entry, name)
            for name in ("number", "kind", "accession_number", "body", "before", "digest")
        }
    )

"""The invented club as values: its people, woods, forays and the fungi it meets (fixtures/demo/*.json)."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

Colour = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Person:
    """A member of the demo. `eager`: how many finds, beside those of the others. `named_outside`: whether they agreed."""

    sign_in_name: str
    full_name: str
    collector_code: str
    role: str
    joined: date
    eager: int
    named_outside: bool = False


@dataclass(frozen=True, slots=True)
class Wood:
    """A place to look for brackets: a centre, degrees, and how far round it finds lie."""

    name: str
    latitude: float
    longitude: float
    reach_m: float
    altitude_m: float
    trees: tuple[str, ...]
    permission: str
    spots: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Outing:
    name: str
    on: date
    wood: str
    leader: str


@dataclass(frozen=True, slots=True)
class Kind:
    """A taxon the club finds: how often, in which months, on what; and how it is drawn."""

    taxon: str
    share: int
    months: tuple[int, ...]
    hosts: tuple[str, ...]
    wood: tuple[str, ...]
    zones: tuple[Colour, ...]
    margin: Colour
    surface: str
    zoned: float
    bark: str = "furrowed"
    companions: int = 2
    kept: bool = True


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything the demo is made from, except the reference."""

    club: Mapping[str, Any]
    password: str
    people: tuple[Person, ...]
    woods: Mapping[str, Wood]
    outings: tuple[Outing, ...]
    kinds: Mapping[str, Kind]
    hosts: Mapping[str, str]
    conifers: frozenset[str]
    sensitive: Mapping[str, float]
    confused: tuple[tuple[str, str], ...]
    smells: Mapping[str, tuple[str, ...]]
    smells_else: tuple[str, ...]
    notes: tuple[str, ...]
    colours: Mapping[str, Colour]

    @classmethod
    def from_json(cls, club: Mapping[str, Any], kinds: Mapping[str, Any]) -> "Scene":
        """From the two files of fixtures/demo; a field that is missing is a KeyError or TypeError naming it."""
        return cls(
            club=club["club"],
            password=club["password"],
            people=tuple(
                Person(**{**row, "joined": date.fromisoformat(row["joined"])}) for row in club["members"]
            ),
            woods={
                row["name"]: Wood(**{**row, "trees": tuple(row["trees"]), "spots": tuple(row["spots"])})
                for row in club["woods"]
            },
            outings=tuple(Outing(**{**row, "on": date.fromisoformat(row["on"])}) for row in club["forays"]),
            kinds={row["taxon"]: _kind(row) for row in kinds["kinds"]},
            hosts=club["hosts"],
            conifers=frozenset(club["conifers"]),
            sensitive=club["sensitive"],
            confused=tuple((named, actual) for named, actual in club["confused"]),
            smells={taxon: tuple(words) for taxon, words in club["smells"].items()},
            smells_else=tuple(club["smells_else"]),
            notes=tuple(club["notes"]),
            colours={name: _colour(value) for name, value in kinds["colours"].items()},
        )

    def is_conifer(self, tree: str) -> bool:
        return tree in self.conifers


def _kind(row: Mapping[str, Any]) -> Kind:
    given = {
        **row,
        **{name: tuple(row[name]) for name in ("months", "hosts", "wood")},
        "zones": tuple(_colour(zone) for zone in row["zones"]),
        "margin": _colour(row["margin"]),
    }
    return Kind(**given)


def _colour(value: list[int]) -> Colour:
    red, green, blue = value
    return red, green, blue

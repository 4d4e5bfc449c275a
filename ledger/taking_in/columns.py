"""Which column of a strange table is what of a find: proposed by its name, chosen by a person, remembered by its header.
Pure."""

import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ledger.record.table_rows import folded, term_of
from ledger.words import later, say

TEXT, NUMBER, DAY, CLOCK = "text", "number", "day", "clock"
TRAIT = "trait:"
NOTE, PLACE_KEPT_BACK = "note", "place_kept_back"
LEFT_OUT = ""
"""What a column is that is not taken in."""


@dataclass(frozen=True, slots=True)
class Target:
    """Something of a find that a column can hold. `names`: what such columns are called, in small letters and digits
    alone."""

    code: str
    label: str
    kind: str = TEXT
    names: tuple[str, ...] = ()


TARGETS: Mapping[str, Target] = {
    one.code: one
    for one in (
        Target(
            "identity",
            later("Identity of the record (occurrenceID)"),
            names=("occurrenceid", "id", "uuid", "recordid", "guid"),
        ),
        Target(
            "number",
            later("Collecting number"),
            names=(
                "recordnumber",
                "collectingnumber",
                "fieldnumber",
                "number",
                "no",
                "nr",
                "nummer",
                "fundnummer",
            ),
        ),
        Target(
            "finder",
            later("Found by"),
            names=(
                "recordedby",
                "finder",
                "foundby",
                "collector",
                "observer",
                "recorder",
                "leg",
                "sammler",
                "beobachter",
            ),
        ),
        Target(
            "found_on",
            later("Day"),
            DAY,
            (
                "eventdate",
                "date",
                "day",
                "foundon",
                "datefound",
                "dateoffind",
                "collectedon",
                "observationdate",
                "datum",
                "funddatum",
            ),
        ),
        Target("found_at_time", later("Time"), CLOCK, ("eventtime", "time", "clock", "zeit")),
        Target("latitude", later("Latitude"), NUMBER, ("decimallatitude", "latitude", "lat", "breitengrad")),
        Target(
            "longitude",
            later("Longitude"),
            NUMBER,
            ("decimallongitude", "longitude", "lon", "long", "lng", "längengrad"),
        ),
        Target(
            "position_typed",
            later("Position in one cell (coordinates or grid reference)"),
            names=(
                "verbatimcoordinates",
                "coordinates",
                "position",
                "gridref",
                "gridreference",
                "latlong",
                "latlon",
                "koordinaten",
            ),
        ),
        Target("datum", later("Datum of the position"), names=("geodeticdatum",)),
        Target(
            "uncertainty_m",
            later("Error of the position, m"),
            NUMBER,
            (
                "coordinateuncertaintyinmeters",
                "uncertainty",
                "accuracy",
                "error",
                "precision",
                "genauigkeit",
                "ungenauigkeit",
            ),
        ),
        Target(
            "altitude_m",
            later("Altitude, m"),
            NUMBER,
            (
                "minimumelevationinmeters",
                "altitude",
                "elevation",
                "alt",
                "height",
                "höhe",
                "seehöhe",
                "meereshöhe",
            ),
        ),
        Target(
            "locality",
            later("Place in words"),
            names=(
                "locality",
                "place",
                "location",
                "site",
                "sitename",
                "where",
                "wherefound",
                "placefound",
                "fundort",
                "ort",
            ),
        ),
        Target(
            PLACE_KEPT_BACK,
            later("Place to be kept back (yes or no)"),
            names=("sensitive", "confidential", "placekeptback", "keptback", "donotpublish", "blur"),
        ),
        Target(
            "region",
            later("Region"),
            names=("stateprovince", "region", "county", "province", "state", "bundesland", "landkreis"),
        ),
        Target("country", later("Country"), names=("country",)),
        Target(
            "foray", later("Foray, by its name"), names=("foray", "excursion", "outing", "trip", "exkursion")
        ),
        Target(
            "name_typed",
            later("Name"),
            names=(
                "scientificname",
                "name",
                "species",
                "taxon",
                "latinname",
                "verbatimidentification",
                "fungus",
                "art",
                "artname",
                "pilz",
                "pilzname",
            ),
        ),
        Target(
            "determiner_name",
            later("Named by"),
            names=(
                "identifiedby",
                "determiner",
                "det",
                "determinedby",
                "namedby",
                "bestimmer",
                "bestimmtvon",
            ),
        ),
        Target(
            "determined_on",
            later("Day of the name"),
            DAY,
            ("dateidentified", "determinedon", "datedetermined", "bestimmtam"),
        ),
        Target("basis", later("Grounds of the name"), names=("basis", "method", "determinedhow")),
        Target(
            "host",
            later("Host"),
            names=(
                "host",
                "hosttree",
                "substrate",
                "substratum",
                "tree",
                "wood",
                "woodspecies",
                "growingon",
                "associatedorganism",
                "substrat",
                "wirtsbaum",
                "baum",
                "baumart",
            ),
        ),
        Target("trees_nearby", later("Trees nearby"), names=("treesnearby", "associatedtrees")),
        Target("height_m", later("Height on the tree, m"), NUMBER, ("heightontree", "heightm")),
        Target("diameter_cm", later("Diameter of the wood, cm"), NUMBER, ("diameter", "diametercm", "dbh")),
        Target(
            "fruit_bodies",
            later("Fruit bodies"),
            NUMBER,
            ("fruitbodies", "count", "individualcount", "quantity", "abundance", "anzahl", "menge"),
        ),
        Target("smell", later("Smell"), names=("smell", "odour", "odor")),
        Target("permission", later("Permission"), names=("permission", "permit", "leave")),
        Target(
            "kept",
            later("Material kept (yes or no)"),
            names=("kept", "specimen", "voucher", "collected", "herbarium", "beleg"),
        ),
        Target(
            "note",
            later("Note"),
            names=(
                "note",
                "notes",
                "remarks",
                "comment",
                "comments",
                "occurrenceremarks",
                "bemerkung",
                "bemerkungen",
                "anmerkungen",
                "notiz",
            ),
        ),
    )
}
# A table whose columns are these is one of Darwin Core, and means by them what the standard says.
_TELLING = frozenset(
    {
        *(
            "dwc:occurrenceID",
            "dwc:basisOfRecord",
            "dwc:scientificName",
            "dwc:eventDate",
            "dwc:decimalLatitude",
        ),
        *("dwc:recordedBy", "dwc:decimalLongitude", "dwc:recordNumber", "dwc:verbatimIdentification"),
    }
)
_ENOUGH = 3
# What columns of readings are called, beside the labels of the traits.
_TRAIT_NAMES = {
    **dict.fromkeys(("poresmm", "porespermm", "poresize", "pores"), "pores_per_mm"),
    **dict.fromkeys(("capwidth", "width", "widthmm"), "cap_width"),
    **dict.fromkeys(("caplength", "length", "projection"), "cap_length"),
    **dict.fromkeys(("capthickness", "thickness"), "thickness"),
    "sporelength": "spore_length",
    "sporewidth": "spore_width",
}
YES, NO = (
    frozenset({"yes", "y", "true", "1", "x", "ja", "oui", "kept"}),
    frozenset({"", "no", "n", "false", "0", "nein", "non", "-"}),
)


@dataclass(frozen=True, slots=True)
class Mapped:
    """What a person chose: by the place of each column its target (`TARGETS`, `trait:<code>`), the order of dates, the
    decimal mark, and how far from UTC the clock was."""

    columns: Mapping[int, str] = field(default_factory=dict)
    order: str = ""
    mark: str = ""
    offset_minutes: int | None = None
    within_minutes: int = 10

    def as_json(self) -> dict[str, object]:
        columns = {str(place): code for place, code in self.columns.items()}
        return {
            "columns": columns,
            "order": self.order,
            "mark": self.mark,
            "offset": self.offset_minutes,
            "within": self.within_minutes,
        }

    @classmethod
    def from_json(cls, stored: Mapping[str, object]) -> "Mapped":
        columns = stored.get("columns")
        offset, within = stored.get("offset"), stored.get("within")
        return cls(
            {int(place): str(code) for place, code in columns.items()}
            if isinstance(columns, Mapping)
            else {},
            str(stored.get("order", "")),
            str(stored.get("mark", "")),
            offset if isinstance(offset, int) else None,
            within if isinstance(within, int) else 10,
        )


def header_digest(header: Sequence[str]) -> str:
    """By which a mapping is found again: the same names in the same order, whatever the capitals."""
    plain = [" ".join(name.split()).casefold() for name in header]
    return hashlib.sha256(json.dumps(plain, ensure_ascii=False).encode()).hexdigest()


def darwin_core_terms(header: Sequence[str], terms: Sequence[str]) -> dict[int, str] | None:
    """Term by place where the table is one of Darwin Core; None where it is not, or two columns are one term."""
    known = folded(terms)
    found = {place: term for place, name in enumerate(header) if (term := term_of(name, known)) is not None}
    if len(_TELLING & set(found.values())) < _ENOUGH or len(set(found.values())) < len(found):
        return None
    return found


def proposed(header: Sequence[str], traits: Mapping[str, str]) -> dict[int, str]:
    """A target for each column whose name is known, each given once; `traits`: code to label."""
    # As the reader calls them, the words below before these.
    by_name = {_plain(say(label)): TRAIT + code for code, label in traits.items()}
    by_name |= {_plain(say(one.label)): one.code for one in reversed(list(TARGETS.values()))}
    by_name |= {_plain(text): TRAIT + code for code, label in traits.items() for text in (label, code)}
    # Words of the find go before those of a trait: a column of trees is the host as it was written.
    by_name |= {name: TRAIT + code for name, code in _TRAIT_NAMES.items() if code in traits}
    by_name |= {
        name: one.code for one in reversed(list(TARGETS.values())) for name in (_plain(one.label), *one.names)
    }
    found: dict[int, str] = {}
    for place, name in enumerate(header):
        bare = re.sub(r"[(\[].*", "", name)
        code = next(
            (by_name[said] for one in (name, bare, *bare.split("/")) if (said := _plain(one)) in by_name), ""
        )
        if code and code not in found.values():
            found[place] = code
    return found


def wrong_mapping(columns: Mapping[int, str], header: Sequence[str], traits: Mapping[str, str]) -> str:
    """What is wrong with a choice, in a sentence; empty where nothing is."""
    told: dict[str, str] = {}
    for place, code in columns.items():
        if not 0 <= place < len(header) or (code not in TARGETS and code.removeprefix(TRAIT) not in traits):
            return say(
                "A choice was sent that is not in the list. What else you chose is kept; choose again."
            )
        if code in told and code != NOTE:
            return say(
                "“{first}” and “{other}” are both chosen as {what}. Both are kept here; leave one of them out.",
                first=told[code],
                other=header[place],
                what=label_of(code, traits),
            )
        told[code] = header[place]
    if not told:
        return say("No column is chosen. Choose at least one that says something of the find.")
    if ("latitude" in told) != ("longitude" in told):
        return say(
            "Latitude and longitude go together. What you chose is kept; choose the other column too, or neither."
        )
    if "latitude" in told and "position_typed" in told:
        return say(
            "The position is chosen twice, in one cell and in two. What you chose is kept; leave one out."
        )
    return ""


def label_of(code: str, traits: Mapping[str, str]) -> str:
    return say(TARGETS[code].label if code in TARGETS else traits.get(code.removeprefix(TRAIT), code))


def row_digest(header: Sequence[str], cells: Sequence[str]) -> str:
    """What a row without an identity of its own is known by: its filled cells by the names of their columns, in whatever
    order the columns stand."""
    pairs = sorted(
        (" ".join(name.split()).casefold(), cell) for name, cell in zip(header, cells, strict=True) if cell
    )
    return hashlib.sha256(json.dumps(pairs, ensure_ascii=False).encode()).hexdigest()


def _plain(name: str) -> str:
    return re.sub(r"[\W_]+", "", name.casefold())

"""A small club with one find of every kind of trouble, for all tests of what is handed on."""

from dataclasses import dataclass
from datetime import UTC, datetime, time

from ledger.club.models import Club
from ledger.finds.models import Find
from ledger.people.models import Member
from tests.factories import (
    DeterminationFactory,
    FindFactory,
    ForayFactory,
    ReadingFactory,
    TaxonFactory,
    make_photo,
    name_find,
)
from tests.house.test_crawl import LATITUDE, LOCALITY, LONGITUDE, with_secrets

OWNER = "Sir Humphrey Gateley of Gateley Hall"
NOTE = '=HYPERLINK("http://example.org")\r\nSecond line, with a comma; and \'quotes\' "double"'
GUEST = "Gwen Guest"
STAMP = datetime(2026, 10, 4, 18, 30, 15, 123456, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Scene:
    open: Find
    sensitive: Find
    share: Find
    bare: Find
    held: Find


def make_scene(finder: Member, curator: Member) -> Scene:
    """`open`: everything filled in. `sensitive`: kept back by its own step, with photos. `share`: of `open`. `bare`:
    nothing.
    """
    Club.objects.create(
        name="Hollin Fungus Group",
        accession_prefix="HFG",
        country="England",
        country_code="GB",
        licence="https://creativecommons.org/licenses/by/4.0/",
        public_id="https://ror.org/02mhbdp94",
    )
    taxon = TaxonFactory(order="Polyporales", family="Polyporaceae")
    foray = ForayFactory(leader=curator, permission=OWNER)
    full = FindFactory(
        finder=finder,
        collecting_serial=57,
        found_at_time=time(14, 15),
        utc_offset_minutes=60,
        position_typed="SO 12345 67890",
        altitude_m=-3.5,
        facing_deg=187.0,
        region="Somerset",
        country="England",
        host="Fagus sylvatica",
        host_known_by="bark",
        trees_nearby="oak, birch",
        wood_position="side",
        height_m=1.2,
        diameter_cm=34.0,
        decay_scale="usda-fia-log",
        decay_class="3",
        foray=foray,
        permission=OWNER,
        fruit_bodies=12,
        smell="@anise",
        note=NOTE,
        status="settled",
        changed_at=STAMP,
    )
    for trait, given in READINGS.items():
        ReadingFactory(
            find=full, trait=trait, read_at=STAMP, **{"resolution": None, "unit": "", "values": []} | given
        )
    ReadingFactory(find=full, trait="cap_width", values=[999.0], read_at=STAMP, ended_at=STAMP)
    DeterminationFactory(
        find=full, taxon=None, name_typed="Trametes cf. zonata", basis="cap | zones", note="first look"
    )
    name_find(full, taxon, vernacular_typed="turkeytail", determiner_name="Dr Outside", basis="spores, KOH")
    sensitive = FindFactory(
        finder=finder,
        collecting_serial=58,
        latitude=LATITUDE,
        longitude=LONGITUDE,
        locality=LOCALITY,
        position_typed=f"{LATITUDE}, {LONGITUDE}",
        altitude_m=123.0,
        region="Somerset",
        country="England",
        own_blur_step_deg=0.1,
        foray=foray,
        trees_nearby=LOCALITY,
        note=LOCALITY,
        changed_at=STAMP,
    )
    name_find(sensitive, taxon, basis=LOCALITY, note=LOCALITY, determiner=curator)
    for view in ("cap", "underside", "place", ""):
        make_photo(
            find=sensitive, by=finder, view=view, data=with_secrets() + view.encode(), latitude=LATITUDE,
            longitude=LONGITUDE, camera="Drawn Model One",
        )  # fmt: skip
    make_photo(find=full, by=finder, view="place", data=with_secrets(), camera="Drawn Model One")
    share = FindFactory(
        finder=finder,
        collecting_serial=57,
        collecting_suffix="A",
        split_from=full,
        found_by=GUEST,
        changed_at=STAMP,
    )
    bare = FindFactory(
        finder=curator, latitude=None, longitude=None, uncertainty_m=None, found_on=None, kept=False, locality="",
        position_source="", specimen_state="", specimen_age="", changed_at=STAMP,
    )  # fmt: skip
    held = FindFactory(finder=curator, status="held", locality="Held wood", changed_at=STAMP)
    return Scene(full, sensitive, share, bare, held)


READINGS = {
    "cap_width": {
        "values": [58.0, 61.5, 0.1],
        "unit": "mm",
        "resolution": 1.0,
        "typed": "58, 61,5 | 0.1",
        "n": 3,
    },
    "cap_length": {
        "values": [40.0],
        "unit": "mm",
        "resolution": 0.2886751345948129,
        "state": "fresh",
        "age": "old",
    },
    "pores_per_mm": {"low": 4.0, "high": 5.0, "n": 3, "unit": "1/mm", "resolution": 0.5, "typed": "4–5"},
    "cap_thickness": {"low": 4.0, "high": 4.0, "unit": "mm", "typed": "=4"},
    "tube_depth": {"low": 2.5, "unit": "mm"},
    "spore_width": {"values": [2.25], "low": 2.0, "high": 2.5, "n": 30, "unit": "um"},
    "underside": {"states": ["maze", "pores"], "state": "moist"},
    "koh": {"looked": "cannot say", "typed": "cannot say"},
    "smell": {"looked": "absent"},
    "zonation": {"looked": "not looked"},
}

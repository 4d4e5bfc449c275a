"""What the index says of a find, worked out from the find: its columns and its words, with who may meet it by them."""

from collections.abc import Iterable, Mapping
from typing import Any

from ledger.finds import tables
from ledger.finds.models import Find
from ledger.places.blur import coarsen
from ledger.places.errors import PlaceError
from ledger.search.fold import distinct_words, fold
from ledger.search.keys import NETS, cell_number, latest_key
from ledger.search.models import FindIndex, SearchWord

Kind = SearchWord.Kind
# Kind and word to whether every member may find it by that.
Words = Mapping[tuple[str, str], bool]

# Behind every name of a fungus.
NOT_NAMED = "zzzz not named"


def columns_of(find: Find) -> dict[str, Any]:
    """The columns of a find's row. Reads its determination, taxon and foray; costs no query where they are at hand."""
    determined = find.current_determination
    taxon = determined.taxon if determined else None
    name = taxon.name if taxon else (determined.name_typed if determined else "")
    step = find.blur_step_deg
    found_on = find.found_on
    return {
        "latest": latest_key(found_on, find.logged_at),
        "logged_at": find.logged_at,
        "found_on": found_on,
        "year": found_on.year if found_on else None,
        "month": found_on.month if found_on else None,
        "week": found_on.isocalendar().week if found_on else None,
        "finder_id": find.finder_id,
        "logged_by_id": find.logged_by_id,
        "foray_id": find.foray_id,
        "taxon_id": taxon.pk if taxon else None,
        "name_key": name_key_of(name),
        "status": str(find.status),
        "collecting_code": find.collecting_code,
        "collecting_serial": find.collecting_serial,
        "collecting_suffix": find.collecting_suffix,
        "accession_number": find.accession_number,
        "step_deg": step,
        **_places(find.latitude, find.longitude, step),
    }


def name_key_of(name: str) -> str:
    """By what finds of that name are sorted."""
    return fold(name)[:120] if name else NOT_NAMED


def _places(latitude: float | None, longitude: float | None, step: float | None) -> dict[str, Any]:
    """Exact and open place with the cells of the open one; a place that is none on earth is on no map."""
    nowhere: dict[str, Any] = dict.fromkeys(
        ("latitude", "longitude", "open_latitude", "open_longitude", *NETS.values())
    )
    if latitude is None or longitude is None:
        return nowhere
    shown_latitude, shown_longitude = latitude, longitude
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        return nowhere
    if step is not None:
        try:
            cell = coarsen(latitude=latitude, longitude=longitude, side_deg=step)
        except PlaceError:
            return nowhere | {"latitude": latitude, "longitude": longitude}
        shown_latitude, shown_longitude = cell.latitude, cell.longitude
    cells = {
        column: cell_number(latitude=shown_latitude, longitude=shown_longitude, side_deg=side)
        for side, column in NETS.items()
    }
    return {
        "latitude": latitude,
        "longitude": longitude,
        "open_latitude": shown_latitude,
        "open_longitude": shown_longitude,
        **cells,
    }


def words_of_find(find: Find, flag_codes: Iterable[str]) -> dict[tuple[str, str], bool]:
    """The words by which a find is met. Of a sensitive one, those of its exact place are not open."""
    open_to_all = find.blur_step_deg is None
    determined = find.current_determination
    found: dict[tuple[str, str], bool] = {}
    if determined is not None:
        of_taxon = determined.taxon.name if determined.taxon else ""
        for word in distinct_words(of_taxon, determined.name_typed, determined.vernacular_typed):
            found[Kind.NAME.value, word] = True
    for word in distinct_words(find.found_by):
        found[Kind.GUEST.value, word] = True
    for word in distinct_words(find.host):
        found[Kind.HOST.value, word] = True
    foray = find.foray
    exact = [find.locality, *((foray.name, foray.place) if foray else ())]
    for word in distinct_words(*exact):
        found[Kind.PLACE.value, word] = open_to_all
    for word in distinct_words(find.region, find.country):
        found[Kind.PLACE.value, word] = True
    kinds = tables.flag_table().kinds
    for code in flag_codes:
        tells_place = code in kinds and kinds[code].tells_place
        key = (Kind.FLAG.value, code)
        found[key] = open_to_all or not tells_place
    return found


def index_row(find: Find) -> FindIndex:
    return FindIndex(find_id=find.pk, **columns_of(find))


def differs(row: FindIndex, columns: Mapping[str, Any]) -> list[str]:
    """The columns in which a kept row says something else."""
    return [name for name, value in columns.items() if getattr(row, name) != value]

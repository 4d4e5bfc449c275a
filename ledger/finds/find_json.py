"""A find for programs: the same as its page shows the same member, and not a digit more."""

from typing import Any

from ledger.finds.find_page import FindPage
from ledger.traits.result_json import as_json as check_as_json


def as_json(page: FindPage) -> dict[str, Any]:
    """Plain values. Numbers that are not known are null, never 0; the place is coarsened where it must be."""
    find, place = page.find, page.place
    return {
        "id": str(find.pk),
        "collecting_number": find.collecting_number,
        "finder": find.found_by_name,
        "keyed_by": find.logged_by.full_name,
        "status": find.status,
        "version": find.version,
        "kept": find.kept,
        "found_on": find.found_on.isoformat() if find.found_on else None,
        "found_at_time": f"{find.found_at_time:%H:%M}" if find.found_at_time else None,
        "place": {
            "exact": place.exact,
            "text": place.text,
            "latitude": place.latitude,
            "longitude": place.longitude,
            "uncertainty_m": place.uncertainty_m,
            "datum": place.datum,
            "altitude_m": place.altitude_m,
            "locality": place.locality,
            "region": place.region,
            "country": place.country,
            "cell_deg": None if place.exact else place.step_deg,
        },
        "foray": place.foray or None,
        "wood": {
            "host": find.host,
            "host_known_by": find.host_known_by,
            "trees_nearby": place.trees_nearby,
            "position": find.wood_position,
            "height_m": find.height_m,
            "diameter_cm": find.diameter_cm,
            "decay_scale": find.decay_scale,
            "decay_class": find.decay_class,
            "facing_deg": find.facing_deg,
        },
        "specimen": {"state": find.specimen_state, "age": find.specimen_age, "smell": find.smell},
        "fruit_bodies": find.fruit_bodies,
        "note": place.note,
        "names": [
            {
                "name": row.name_typed,
                "vernacular_typed": row.vernacular_typed or None,
                "taxon": row.taxon.name if row.taxon else None,
                "qualifier": row.qualifier,
                "by": row.determiner_name or row.determiner.full_name,
                "on": row.determined_on.isoformat() if row.determined_on else None,
                "basis": row.basis if place.exact else "",
            }
            for row in page.names
        ],
        "readings": [
            {
                "trait": row.trait,
                "looked": row.looked,
                "values": row.values,
                "low": row.low,
                "high": row.high,
                "n": row.n,
                "unit": row.unit or None,
                "resolution": row.resolution,
                "states": row.states,
                "state": row.state or find.specimen_state or None,
                "age": row.age or find.specimen_age or None,
            }
            for row in page.rows
        ],
        "photos": [
            {"id": str(photo.pk), "view": photo.view, "sha256": photo.sha256} for photo in page.photos
        ],
        "flags": [
            {
                "code": shown.flag.code,
                "severity": shown.flag.severity,
                "sentence": shown.flag.in_words,
                "open": shown.flag.is_open,
            }
            for shown in page.flags
        ],
        "check": check_as_json(page.checkup.result),
        "caution": "A comparison with published descriptions. Nothing in it says that a fungus may be eaten.",
    }

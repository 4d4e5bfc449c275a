"""The line near the photos of the log form: which views are still missing. The phone's is static/js/log/views_left.js."""

from collections.abc import Sequence

from ledger.finds.models import Photo
from ledger.photos.view_gaps import missing_says, missing_views
from ledger.traits.readings import Specimen
from ledger.traits.reference import Reference


def views_say(
    photos: Sequence[Photo],
    specimen: Specimen,
    reference: Reference,
    *,
    has_scale: bool,
    is_amended: bool,
) -> str:
    """The views that a find with these readings, or of this name, should have and has not."""
    missing = missing_views(
        {photo.view for photo in photos},
        habits=_read_or_documented(specimen, reference, "habit"),
        undersides=_read_or_documented(specimen, reference, "underside"),
        has_scale=has_scale,
    )
    return missing_says(missing, is_amended=is_amended)


def _read_or_documented(specimen: Specimen, reference: Reference, trait: str) -> frozenset[str]:
    read = specimen.readings.get(trait)
    if read is not None and read.states:
        return read.states
    rows = reference.ranges_for(specimen.taxon, trait) if specimen.taxon else ()
    return frozenset(state for row in rows for state in row.states)

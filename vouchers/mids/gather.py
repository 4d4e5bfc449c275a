"""A voucher's stored record in the terms of Darwin Core, as far as MIDS asks for them.

The stored record, never the coarsened one: a level tells how well a specimen is documented here, and a place kept back is
documented. Only whether a value is there leaves this room; nothing of it is shown.
"""

from ledger.club.models import Club
from ledger.finds.models import Find
from ledger.people.models import Member
from vouchers.register.models import Voucher

Record = dict[str, str]


def record_of(voucher: Voucher, club: Club) -> Record:
    """The occurrence of one voucher by term; an empty text where nothing is stored.

    Wants `queries.for_completeness`: parts and photos that are there. Photos have no identifier by which others could reach
    them, and the reference holds none of names, so `dwc:scientificNameID` and a photo's identifier are not claimed.
    """
    find = voucher.find
    named = find.current_determination
    return {
        "dwc:catalogNumber": str(voucher),
        "dwc:occurrenceID": str(find.pk),
        "dwc:institutionCode": club.heading if club.pk else "",
        "dwc:institutionID": club.public_id,
        "dcterms:license": club.licence,
        "dcterms:modified": find.changed_at.isoformat(),
        "dwc:scientificName": named.name_typed if named else "",
        "dwc:vernacularName": named.vernacular_typed if named else "",
        "dwc:preparations": " | ".join(sorted({part.kind for part in voucher.parts_there})),
        **_place(find),
        "dwc:recordedBy": find.found_by_name,
        "dwc:recordedByID": "" if find.found_by else _public_id(find.finder),
        "dwc:eventDate": find.found_on.isoformat() if find.found_on else "",
        "dwc:recordNumber": find.collecting_number,
        "dwc:associatedMedia": " | ".join(photo.sha256 for photo in find.photos_there),
        # Somebody else's opinion bears no member's identifier.
        "dwc:identifiedByID": "" if named is None or named.determiner_name else _public_id(named.determiner),
    }


def _public_id(member: Member) -> str:
    return member.public_id


def _place(find: Find) -> Record:
    both = find.latitude is not None and find.longitude is not None
    return {
        "dwc:locality": find.locality,
        "dwc:stateProvince": find.region,
        "dwc:country": find.country,
        "dwc:decimalLatitude": _number(find.latitude) if both else "",
        "dwc:decimalLongitude": _number(find.longitude) if both else "",
        "dwc:geodeticDatum": find.datum if both else "",
        "dwc:coordinateUncertaintyInMeters": _number(find.uncertainty_m)
        if both and find.uncertainty_m
        else "",
        "dwc:coordinatePrecision": coordinate_precision(find.latitude, find.longitude),
    }


def coordinate_precision(latitude: float | None, longitude: float | None) -> str:
    """To which step in degrees a pair is stored, as text: the finer of the two, since a zero at the end is not stored.

    >>> coordinate_precision(51.23456, -2.3)
    '0.00001'
    """
    if latitude is None or longitude is None:
        return ""
    decimals = max(_decimals(latitude), _decimals(longitude))
    return f"{10.0**-decimals:.{decimals}f}"


def _decimals(degrees: float) -> int:
    # 9 decimals are a tenth of a millimetre; beyond are leavings of the machine.
    return len(f"{degrees:.9f}".rstrip("0").partition(".")[2])


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"

"""Photographs as rows of Audiovisual Core, and relations between records as rows of ResourceRelationship; and back.
Pure.
"""

from collections.abc import Mapping
from typing import NamedTuple

STILL, JPEG, SHA_256 = "StillImage", "image/jpeg", "SHA-256"


class PhotoOut(NamedTuple):
    """A photograph that goes along: a copy without metadata, at `path` in the archive. `taken` is its camera's wall
    clock.
    """

    id: str
    view: str
    caption: str
    taken: str
    by: str
    path: str
    sha256: str
    width: int
    height: int


class RelationOut(NamedTuple):
    """`of` is `how` `to`: a share of a gathering, a duplicate of a specimen. `on` an ISO day or ""."""

    id: str
    of: str
    how: str
    to: str
    on: str = ""
    remarks: str = ""


SHARE_OF = "share of"
"""Of a find that was split from a mixed collection, to that collection's record."""


def photo_row(find_id: str, photo: PhotoOut) -> list[str]:
    return [
        find_id,
        photo.id,
        STILL,
        photo.caption,
        photo.view,
        photo.taken,
        photo.by,
        photo.path,
        JPEG,
        SHA_256,
        photo.sha256,
        str(photo.width),
        str(photo.height),
    ]


def photo_in(row: Mapping[str, str]) -> PhotoOut:
    """The photo of a row by short terms; the sum is empty where it is of another kind. Raises ValueError."""
    is_ours = row.get("ac:hashFunction", "").upper().replace("_", "-") in (SHA_256, "SHA256")
    return PhotoOut(
        id=row.get("dcterms:identifier", ""),
        view=row.get("ac:subjectPartLiteral", ""),
        caption=row.get("ac:caption", ""),
        taken=row.get("xmp:CreateDate", ""),
        by=row.get("dc:creator", ""),
        path=row.get("ac:accessURI", ""),
        sha256=row.get("ac:hashValue", "").lower() if is_ours else "",
        width=_pixels(row.get("exif:PixelXDimension", "")),
        height=_pixels(row.get("exif:PixelYDimension", "")),
    )


def _pixels(text: str) -> int:
    """0 where no number is told: the photo itself tells it better."""
    return int(text) if text.isdecimal() and len(text) < 9 else 0


def relation_row(find_id: str, relation: RelationOut) -> list[str]:
    return [find_id, *relation]


def relation_in(row: Mapping[str, str]) -> RelationOut:
    return RelationOut(
        id=row.get("dwc:resourceRelationshipID", ""),
        of=row.get("dwc:resourceID", ""),
        how=row.get("dwc:relationshipOfResource", ""),
        to=row.get("dwc:relatedResourceID", ""),
        on=row.get("dwc:relationshipEstablishedDate", ""),
        remarks=row.get("dwc:relationshipRemarks", ""),
    )

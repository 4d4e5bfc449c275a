"""Which sheets print which label. Pure."""

from collections.abc import Mapping
from types import MappingProxyType

# sheet -> the kind of label, under which its prints are kept: a label printed on another sheet is the same label.
KIND_OF: Mapping[str, str] = MappingProxyType(
    {
        "packet": "packet",
        "labels-96x92": "packet",
        "labels-98x88": "packet",
        "boxes": "box",
        "slips": "slip",
        "duplicates": "duplicate",
        "annotations": "annotation",
        "tags": "tag",
        "places": "place",
        "tubes": "part",
        "tubes-roll": "part",
    }
)
# What is printed of vouchers, in the order of the page; the others have pages of their own.
OF_VOUCHERS = (
    "packet",
    "labels-96x92",
    "labels-98x88",
    "boxes",
    "slips",
    "duplicates",
    "annotations",
    "tags",
    "tubes",
    "tubes-roll",
)
ROLL = "tubes-roll"
# In one PDF: what was measured, and more than a printer takes at a go.
MOST = 1000

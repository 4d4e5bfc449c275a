"""What can be measured on a photo, and how: one table for the page and for what it sends."""

from collections.abc import Mapping

from ledger.measures.models import Measurement

# The traits of the vocabulary that a photo can show, by way; empty is a free line, which is no trait.
TRAITS_OF: Mapping[str, tuple[str, ...]] = {
    Measurement.Way.LINE: ("cap_width", "cap_length", "cap_thickness", "context_thickness", "tube_depth", ""),
    Measurement.Way.TAPS: ("pores_per_mm",),
    Measurement.Way.COUNT: ("pores_per_mm",),
    "ruler": ("",),
}
# What a photo of that view is most often measured for.
FIRST_FOR_VIEW: Mapping[str, str] = {
    "cap": "line:cap_width",
    "underside": "taps:pores_per_mm",
    "side": "line:cap_thickness",
    "cut": "line:tube_depth",
    "scale": "line:cap_width",
}

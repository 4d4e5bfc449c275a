"""Why the demo's curators settle a flag: a few words for each kind, as they might stand in the history."""

from collections.abc import Mapping, Sequence

_REASONS: Mapping[str, tuple[str, ...]] = {
    "standing_ruled_out": ("Packet opened: the reading was a slip, the specimen agrees with the name.",),
    "trait_outside_decisive": ("Looked at under the lens: the reading is of an old, torn part.",),
    "host_outside": ("Bark in the packet; the host stands. Rare on this wood, and kept.",),
    "host_outside_guessed": ("Host withdrawn to “not known”; the name does not rest on it.",),
    "house_rule": ("Photo with the scale shows it; kept as found.",),
    "trait_outside": (
        "One odd reading among many that agree; the photo shows an old cap.",
        "Read again on the specimen: at the limit, and the rest agrees.",
        "An unusual specimen; the decisive traits agree.",
    ),
    "season_outside": ("Old fruit bodies of the season before; the date stands.",),
    "standing_doubtful": (
        "The traits against it are the ones that weather first; the name stands.",
        "Compared with two named specimens in the drawer; the name stands.",
    ),
    "behind_look_alike": (
        "Held beside the look-alike; what parts the two speaks for the name given.",
        "Few traits were read. On the specimen the pores part the two; the name stands.",
    ),
    "nothing_decisive": ("Underside looked at on the specimen; agrees.",),
}


def reason_for(codes: Sequence[str], choice: int) -> str:
    """A reason for the worst of the open flags, or nothing where none is open that holds a find."""
    for code, reasons in _REASONS.items():
        if code in codes:
            return reasons[choice % len(reasons)]
    return "Asked the finder; the record stands as it is." if codes else ""

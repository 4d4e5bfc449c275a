"""How the wood of a find is told in words: on its page, at the bench and on the label. Pure."""

from collections.abc import Collection

from ledger.words import later, say

WHERE = {
    "upper": later("upper side"),
    "side": later("flank"),
    "under": later("underside of the wood"),
    "cut end": later("cut end"),
    "wound": later("at a wound"),
    "base": later("at the base"),
    "root": later("on a root"),
}


def on_the_wood(position: str, height_m: float | None, diameter_cm: float | None) -> str:
    """Return `at the base; 0.5 m above ground; wood 24 cm in diameter`, as far as it was noted."""
    said = [str(WHERE.get(position, position))]
    if height_m is not None:
        said.append(say("{height_m} m above ground", height_m=f"{height_m:g}"))
    if diameter_cm is not None:
        said.append(say("wood {diameter_cm} cm in diameter", diameter_cm=f"{diameter_cm:g}"))
    return "; ".join(part for part in said if part)


def host_is_latin(host: str, genera: Collection[str]) -> bool:
    """Whether a typed host begins with the Latin name of a genus, as `Fagus sylvatica` does and `beech` does not."""
    first = host.split(maxsplit=1)[:1]
    return bool(first) and first[0] in genera

"""Which part of the catalogue a file's sentences belong to: the room of a template, a module or a script."""

# Rooms whose words stand in the part of another.
_WITH = {
    "handing_on": "exchange",
    "clocks": "photos",
    "pocket": "paper",
    "slips": "paper",
    "measuring": "measures",
    "measure": "measures",
    "log": "finds",
    "rules": "traits",
}
_VOUCHERS = ("register", "store", "loans", "labels", "preparation", "stocktake")
_SCRIPTS_OF_VOUCHERS = {
    "scan": "vouchers_store",
    "stocktake": "vouchers_stocktake",
    "store": "vouchers_store",
}
_TAGS = {
    "log": "finds",
    "names": "names",
    "pocket": "paper",
    "phrases": "finds",
    "strips": "traits",
    "wood": "finds",
}
_FIXTURES = {"traits": "traits", "flags": "record", "decay_scales": "record"}
_SINGLE_SCRIPTS = {"bench": "bench", "list": "search", "single_keys": "bench", "taxon": "taxa"}


def area_of(place: str) -> str:
    """The part for a file, named from the root of the checkout: `templates/finds/log.html` is of `finds`."""
    top, *rest = place.split("/")
    room = rest[0] if len(rest) > 1 else ""
    stem = rest[-1].split(".")[0] if rest else ""
    if top == "fixtures":
        return _FIXTURES.get(stem, "base")
    if top == "static":
        return _of_script(rest[1:], stem)
    if room == "vouchers" or top == "vouchers":
        room = (rest[1] if len(rest) > 2 else "") if top == "templates" else room
        room = "labels" if room == "printing" or (not room and "labels" in stem) else room
        return f"vouchers_{room}" if room in _VOUCHERS else "vouchers_other"
    if room == "templatetags":
        return _TAGS.get(stem, "base")
    if room in ("", "management"):
        return "base"
    return _WITH.get(room, room)


def _of_script(rest: list[str], stem: str) -> str:
    room = rest[0] if len(rest) > 1 else ""
    if not room:
        return _SINGLE_SCRIPTS.get(stem, "base")
    if room == "loans":
        return "vouchers_loans"
    return _SCRIPTS_OF_VOUCHERS.get(room, _WITH.get(room, room))

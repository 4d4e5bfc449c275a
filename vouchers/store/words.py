"""Numbers with their words. Pure."""


def many(count: int, one: str, more: str) -> str:
    return f"{count:,} {one if count == 1 else more}"


def parts_word(count: int) -> str:
    return many(count, "packet or other part", "packets and other parts")

"""How many flags of a severity, in words. Pure."""

from ledger.words import Said, say_n


def counted(severity: str, many: int) -> Said:
    """`1 stop`, `4 doubts`."""
    if severity == "stop":
        return say_n("{n} stop", "{n} stops", many)
    if severity == "doubt":
        return say_n("{n} doubt", "{n} doubts", many)
    return say_n("{n} note", "{n} notes", many)

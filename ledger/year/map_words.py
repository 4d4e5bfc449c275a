"""What a map shows, in a sentence. Pure."""

from collections.abc import Sequence
from typing import Protocol

from ledger.words import Said, later, say, say_n, together

NOTHING = later("No finds lie here. Choose other taxa or years, or show all of them.")


class Counting(Protocol):
    """An area with how many finds are told in it, and whether a finer place is kept back."""

    @property
    def n(self) -> int: ...

    @property
    def kept_back(self) -> bool: ...


def cells_said(areas: Sequence[Counting], side_deg: float) -> Said:
    """Of finds that are counted in cells."""
    counted = sum(area.n for area in areas)
    if not counted:
        return say(NOTHING)
    told: list[str] = [
        say("{finds}, counted in cells of {side}°.", finds=finds(counted), side=f"{side_deg:g}")
    ]
    if in_areas := _in_areas(areas):
        told.append(
            say_n(
                "{n} of them is told only by a larger area, drawn with a broken line.",
                "{n} of them are told only by a larger area, drawn with a broken line.",
                in_areas,
            )
        )
    return together(told)


def points_said(points: int, told_to_others: int, areas: Sequence[Counting]) -> Said:
    """Of finds drawn one by one; `told_to_others`: points that others see only as an area."""
    in_areas = _in_areas(areas)
    if not points:
        if not in_areas:
            return say(NOTHING)
        return say_n(
            "{n} find is told by an area with a broken line, and no finer.",
            "{n} finds are told by an area with a broken line, and no finer.",
            in_areas,
        )
    told: list[str] = [
        say_n("{n} find, each where it was found.", "{n} finds, each where it was found.", points)
    ]
    if told_to_others:
        told.append(
            say_n(
                "{n} of them is told to others by an area with a broken line.",
                "{n} of them are told to others by an area with a broken line.",
                told_to_others,
            )
        )
    # The areas are the same for everybody, so they hold the finds that this member sees as points too.
    more = in_areas - told_to_others
    if more > 0:
        told.append(
            say_n(
                "{n} more find is told by an area with a broken line.",
                "{n} more finds are told by an area with a broken line.",
                more,
            )
        )
    return together(told)


def finds(n: int) -> Said:
    """Return `1 find`, `3 finds`."""
    return say_n("{n} find", "{n} finds", n)


def _in_areas(areas: Sequence[Counting]) -> int:
    return sum(area.n for area in areas if area.kept_back)

"""What a map shows, in a sentence. Pure."""

from collections.abc import Sequence
from typing import Protocol

NOTHING = "No finds lie here. Choose other taxa or years, or show all of them."


class Counting(Protocol):
    """An area with how many finds are told in it, and whether a finer place is kept back."""

    @property
    def n(self) -> int: ...

    @property
    def kept_back(self) -> bool: ...


def cells_said(areas: Sequence[Counting], side_deg: float) -> str:
    """Of finds that are counted in cells."""
    counted = sum(area.n for area in areas)
    if not counted:
        return NOTHING
    said = f"{finds(counted)}, counted in cells of {side_deg:g}°."
    if in_areas := _in_areas(areas):
        said += f" {in_areas} of them {_are(in_areas)} told only by a larger area, drawn with a broken line."
    return said


def points_said(points: int, told_to_others: int, areas: Sequence[Counting]) -> str:
    """Of finds drawn one by one; `told_to_others`: points that others see only as an area."""
    in_areas = _in_areas(areas)
    if not points:
        alone = f"{finds(in_areas)} {_are(in_areas)} told by an area with a broken line, and no finer."
        return alone if in_areas else NOTHING
    said = f"{finds(points)}, each where it was found."
    if told_to_others:
        said += (
            f" {told_to_others} of them {_are(told_to_others)} told to others by an area with a broken line."
        )
    # The areas are the same for everybody, so they hold the finds that this member sees as points too.
    more = in_areas - told_to_others
    if more > 0:
        said += f" {finds(more, 'more ')} {_are(more)} told by an area with a broken line."
    return said


def finds(n: int, kind: str = "") -> str:
    """Return `1 find`, `3 finds`, `3 more finds`."""
    return f"{n} {kind}find{'' if n == 1 else 's'}"


def _are(n: int) -> str:
    return "is" if n == 1 else "are"


def _in_areas(areas: Sequence[Counting]) -> int:
    return sum(area.n for area in areas if area.kept_back)

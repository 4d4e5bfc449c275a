"""Which marks on a photo show the same place: a line within a patch, a patch upon another, a line drawn twice."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledger.measuring.plane import Array

# More than half of one within the other: the same place seen twice (our own judgement).
_SAME = 0.5
# How far beside a line still lies on it, as a share of its length.
_BESIDE = 0.1
_STEPS = 11


@dataclass(frozen=True, slots=True)
class Mark:
    """On the photo named `photo`: a line from `a` to `b`, or (`is_patch`) a rectangle with these corners; px (x, y)."""

    photo: str
    a: tuple[float, float]
    b: tuple[float, float]
    is_patch: bool


def places(marks: Sequence[Mark]) -> list[int]:
    """A number for each mark, alike for those that overlap, directly or through others."""
    numbers = list(range(len(marks)))
    for later, one in enumerate(marks):
        for earlier, other in enumerate(marks[:later]):
            if numbers[later] != numbers[earlier] and _overlap(one, other):
                new, old = sorted((numbers[later], numbers[earlier]))
                numbers = [new if number == old else number for number in numbers]
    return numbers


def _overlap(one: Mark, other: Mark) -> bool:
    return one.photo == other.photo and max(_share(one, other), _share(other, one)) > _SAME


def _share(one: Mark, other: Mark) -> float:
    """How much of one lies within the other, 0 to 1."""
    return float(np.mean(_within(_points(one), other)))


def _points(mark: Mark) -> Array:
    """(n, 2): points spread evenly over the mark."""
    along = np.linspace(0.0, 1.0, _STEPS)
    a, b = np.array(mark.a), np.array(mark.b)
    if not mark.is_patch:
        return np.asarray(a + along[:, None] * (b - a))
    x, y = np.meshgrid(along, along)
    return np.asarray(a + np.column_stack([x.ravel(), y.ravel()]) * (b - a))


def _within(points: Array, mark: Mark) -> NDArray[np.bool_]:
    a, b = np.array(mark.a), np.array(mark.b)
    if mark.is_patch:
        low, high = np.minimum(a, b), np.maximum(a, b)
        return np.asarray(np.all((points >= low) & (points <= high), axis=1))
    way = b - a
    long = float(np.linalg.norm(way))
    if long == 0:
        return np.asarray(np.all(points == a, axis=1))
    nearest = a + np.clip((points - a) @ way / long**2, 0.0, 1.0)[:, None] * way
    return np.asarray(np.linalg.norm(points - nearest, axis=1) <= _BESIDE * long)

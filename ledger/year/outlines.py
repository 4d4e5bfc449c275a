"""Outlines of land, lakes, rivers and borders for the map, out of two packages of Natural Earth's data. Pure.

`manage.py draw_outlines` reads them and writes `static/vendor/natural-earth/outlines.json`. Lines are in hundredths of a
degree: the first point as longitude and latitude, each further one as its step from the one before. At a scale of 1 to 50
million the data are no truer than a kilometre, so nothing is lost by that.
"""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Any

Point = tuple[float, float]
PER_DEGREE = 100
# What bends less than this, or is smaller across, is left out, in degrees.
TOLERANCE_DEG = 0.008
LEAST_ACROSS_DEG = 0.05


def outlines(countries: dict[str, Any], waters: dict[str, Any]) -> dict[str, Any]:
    """Compact outlines from topologies: `countries` holds countries and land, `waters` holds lakes and rivers."""
    arcs, water_arcs = _arcs(countries), _arcs(waters)
    used = Counter(abs_index(index) for line in _lines(countries, "countries") for index in line)
    borders = [arcs[index] for index, times in used.items() if times > 1]
    return {
        "per_degree": PER_DEGREE,
        "land": _packed(_joined(arcs, line) for line in _lines(countries, "land")),
        "lakes": _packed(_joined(water_arcs, line) for line in _lines(waters, "lakes")),
        "rivers": _packed(_joined(water_arcs, line) for line in _lines(waters, "rivers")),
        "borders": _packed(borders),
    }


def abs_index(index: int) -> int:
    """An arc that is walked backwards is written as its complement."""
    return ~index if index < 0 else index


def _arcs(topology: dict[str, Any]) -> list[list[Point]]:
    """Arcs in degrees, simplified: neighbours share them, so that no gap opens between two countries."""
    (x_scale, y_scale), (x_0, y_0) = topology["transform"]["scale"], topology["transform"]["translate"]
    arcs = []
    for steps in topology["arcs"]:
        x = y = 0
        line = []
        for step in steps:
            x, y = x + step[0], y + step[1]
            line.append((x * x_scale + x_0, y * y_scale + y_0))
        arcs.append(_simplified(line))
    return arcs


def _lines(topology: dict[str, Any], name: str) -> Iterator[list[int]]:
    """Every ring or line of an object, as the arcs it is made of."""
    geometries = list(topology["objects"][name]["geometries"])
    for geometry in geometries:
        yield from _flat(geometry.get("arcs", []))


def _flat(arcs: Sequence[Any]) -> Iterator[list[int]]:
    if arcs and isinstance(arcs[0], int):
        yield list(arcs)
    else:
        for part in arcs:
            yield from _flat(part)


def _joined(arcs: Sequence[Sequence[Point]], indexes: Iterable[int]) -> list[Point]:
    line: list[Point] = []
    for index in indexes:
        arc = arcs[abs_index(index)]
        points = list(arc if index >= 0 else reversed(arc))
        line += points[1:] if line else points
    return line


def _simplified(line: Sequence[Point]) -> list[Point]:
    """Douglas and Peucker 1973, The Canadian Cartographer 10(2): 112-122; its ends stay."""
    if len(line) < 3:
        return list(line)
    keep = {0, len(line) - 1}
    if line[0] == line[-1]:
        keep.add(max(range(len(line)), key=lambda at: math.dist(line[0], line[at])))
    ends = sorted(keep)
    waiting = list(pairwise(ends))
    while waiting:
        first, last = waiting.pop()
        farthest, at = 0.0, 0
        for between in range(first + 1, last):
            away = _away(line[between], line[first], line[last])
            if away > farthest:
                farthest, at = away, between
        if farthest > TOLERANCE_DEG:
            keep.add(at)
            waiting += [(first, at), (at, last)]
    return [line[at] for at in sorted(keep)]


def _away(point: Point, start: Point, end: Point) -> float:
    (x, y), (x_1, y_1), (x_2, y_2) = point, start, end
    length = math.dist(start, end)
    if not length:
        return math.dist(point, start)
    return abs((x_2 - x_1) * (y_1 - y) - (x_1 - x) * (y_2 - y_1)) / length


def _packed(lines: Iterable[Sequence[Point]]) -> list[list[int]]:
    packed = []
    for line in lines:
        xs, ys = [x for x, _ in line], [y for _, y in line]
        if max(max(xs) - min(xs), max(ys) - min(ys)) < LEAST_ACROSS_DEG:
            continue
        whole = [(round(x * PER_DEGREE), round(y * PER_DEGREE)) for x, y in line]
        steps = [*whole[0]]
        for (x, y), (next_x, next_y) in pairwise(whole):
            if (x, y) != (next_x, next_y):
                steps += [next_x - x, next_y - y]
        packed.append(steps)
    return packed

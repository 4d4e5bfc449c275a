"""Latitude and longitude out of a typed line: all readings of the line, then the only one or a refusal.

Four things make a line ambiguous: a comma that may part the two numbers or be a decimal comma; four numbers between
commas, which may be two with decimal commas or degrees and minutes; plain numbers that may be degrees and minutes or two
coordinates; a sign that fights its letter.
"""

import itertools
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import reduce

from ledger.places.angles import Coordinate, Token, read_coordinate, tokens_of
from ledger.places.errors import AmbiguousPlace, PlaceError
from ledger.words import later, say, together

_MOST_COMMAS = 6
_HOW = later("Type latitude, then longitude, such as 51.5074, -0.1278 or 51°30'27\"N 0°07'40\"W.")


@dataclass(frozen=True, slots=True)
class Pair:
    """One reading of a line, degrees."""

    latitude: float
    longitude: float
    latitude_unit_deg: float
    longitude_unit_deg: float
    alike: bool  # both halves were typed in the same parts, and both with decimals
    words: str

    @property
    def precision_deg(self) -> float:
        """The coarser of the two units."""
        return max(self.latitude_unit_deg, self.longitude_unit_deg)


@dataclass(frozen=True, slots=True)
class _Readings:
    pairs: tuple[Pair, ...]
    lone: tuple[str, ...]
    swapped: tuple[Pair, ...]
    beyond: tuple[Pair, ...]


def pair_of(text: str) -> Pair:
    """The one pair a line holds (signs already plain, see typed_text.py). AmbiguousPlace or PlaceError otherwise."""
    found = [_readings(tokens_of(variant)) for variant in _comma_variants(_dashes_as_marks(text))]
    found += [_readings(tokens) for tokens in _minutes_between_commas(text)]
    pairs = _distinct(pair for readings in found for pair in readings.pairs)
    # 51,30 2,15: two decimal commas alike leave no room for "51, and 30 degrees 2.15 minutes".
    if not _FOUR_BETWEEN_COMMAS.fullmatch(text):
        pairs = [pair for pair in pairs if pair.alike] or pairs
    lone = tuple(dict.fromkeys(words for readings in found for words in readings.lone))
    if [(pair.latitude, pair.longitude) for pair in pairs] == [(0, 0)] and "," in text:
        lone = ()  # nobody types 0,0 for the number nought alone
    shown = tuple(pair.words for pair in pairs) + lone
    if pairs and len(shown) > 1:
        raise AmbiguousPlace(
            say(
                "{text} has {n} readings: {readings}. Mark which is meant with ° and ' or with N, S, E, W, and use "
                "either a sign or a letter.",
                text=repr(text),
                n=len(shown),
                readings=listed_readings(shown),
            ),
            shown,
        )
    if pairs:
        return pairs[0]
    raise _refusal(text, lone, found)


def _refusal(text: str, lone: tuple[str, ...], found: list[_Readings]) -> PlaceError:
    swapped = _distinct(pair for readings in found for pair in readings.swapped)
    if swapped:
        return PlaceError(
            say(
                "{text}: the first number, read as latitude, is beyond 90 degrees. If longitude was typed first, "
                "{meant} is meant: type it in that order.",
                text=repr(text),
                meant=swapped[0].words,
            )
        )
    if len(lone) > 1:
        return AmbiguousPlace(
            say(
                "{text} has {n} readings, each of one coordinate alone: {readings}. Use either a sign or a letter, and "
                "give both latitude and longitude.",
                text=repr(text),
                n=len(lone),
                readings=listed_readings(lone),
            ),
            lone,
        )
    if lone:
        alone = say(
            "{text} reads as {reading}: a place wants latitude and longitude.",
            text=repr(text),
            reading=lone[0],
        )
        return PlaceError(together([alone, _HOW]))
    beyond = [pair for readings in found for pair in readings.beyond]
    if beyond:
        return PlaceError(
            say(
                "{text} reads as {reading}: latitude ends at 90 degrees, longitude at 180. Check the digits.",
                text=repr(text),
                reading=beyond[0].words,
            )
        )
    neither = say(
        "{text} cannot be read as a latitude and a longitude (minutes and seconds stay under 60, only the last part may "
        "have decimals).",
        text=repr(text),
    )
    return PlaceError(together([neither, _HOW]))


def listed_readings(readings: Iterable[str]) -> str:
    """Readings of a text one after the other: `a; or b; or c`."""
    return reduce(lambda one, other: say("{one}; or {other}", one=one, other=other), readings)


def _comma_variants(text: str) -> Iterator[str]:
    """The line with each comma between digits read as a decimal comma or as a break, in every mixture."""
    if re.search(r"\d\.\d", text):
        yield text  # a decimal point is in use, so no comma is one
        return
    places = [match.start(1) for match in re.finditer(r"(?<=\d)(,)(?=\d)", text)]
    if len(places) > _MOST_COMMAS:
        many = say("{text} has {n} commas between digits: that is no pair.", text=repr(text), n=len(places))
        raise PlaceError(together([many, _HOW]))
    for marks in itertools.product(".;", repeat=len(places)):
        pieces = list(text)
        for place, mark in zip(places, marks, strict=True):
            pieces[place] = mark
        variant = "".join(pieces)
        # 1.2.3 is no number: two decimal commas in a row cannot both be decimal.
        if not re.search(r"\.\d+\.", variant):
            yield variant


_FOUR_BETWEEN_COMMAS = re.compile(r"([+-]?\d{1,3}),(\d{1,2}),([+-]?\d{1,3}),(\d{1,2})", re.ASCII)


def _minutes_between_commas(text: str) -> Iterator[list[Token]]:
    """1,2,3,4 may be 1.2 and 3.4, or 1 degree 2 minutes and 3 degrees 4 minutes: nothing in it tells."""
    match = _FOUR_BETWEEN_COMMAS.fullmatch(text)
    if match is not None:
        yield tokens_of("{} {} ; {} {}".format(*match.groups()))


def _dashes_as_marks(text: str) -> str:
    """51-30-12N 002-15-30W: dashes part degrees, minutes and seconds, but only where a letter tells the side."""
    if len(re.findall(r"(?<![A-Za-z])[NSEWO](?![A-Za-z])", text, flags=re.IGNORECASE)) == 2:
        return re.sub(r"(?<=\d)-(?=\d)", ":", text)
    if re.search(r"\d-\d", text):
        dash = say(
            "{text} has a dash between digits, which may be a minus, or part degrees from minutes.",
            text=repr(text),
        )
        raise PlaceError(together([dash, _HOW]))
    return text


def _readings(tokens: list[Token]) -> _Readings:
    while tokens and tokens[-1].kind == "break":
        tokens = tokens[:-1]
    breaks = [i for i, token in enumerate(tokens) if token.kind == "break"]
    if len(breaks) > 1:
        return _Readings((), (), (), ())
    if breaks:
        splits = [(tokens[: breaks[0]], tokens[breaks[0] + 1 :])]
        alone = None
    else:
        splits = [(tokens[:i], tokens[i:]) for i in range(1, len(tokens))]
        alone = read_coordinate(tokens)
    couples = []
    for first, second in splits:
        one, two = read_coordinate(first), read_coordinate(second)
        if one is not None and two is not None and (one.axis is None or one.axis != two.axis):
            couples.append((one, two))
    return _sorted_out(_likely(couples, alone), alone)


def _likely(
    couples: list[tuple[Coordinate, Coordinate]], alone: Coordinate | None
) -> list[tuple[Coordinate, Coordinate]]:
    """51 30 2 15 parts in the middle: nobody writes one coordinate in seconds and the other in degrees.

    With a letter on one half only and the whole being one coordinate (51 30 N) there is no pair at all.
    """
    if alone is not None and alone.axis is not None:
        return []
    even = [(one, two) for one, two in couples if len(one.parts) == len(two.parts)]
    return even or couples


def _sorted_out(couples: list[tuple[Coordinate, Coordinate]], alone: Coordinate | None) -> _Readings:
    pairs: list[Pair] = []
    swapped: list[Pair] = []
    beyond: list[Pair] = []
    for one, two in couples:
        north, east = (two, one) if one.axis == "longitude" or two.axis == "latitude" else (one, two)
        marked = one.axis is not None or two.axis is not None
        for latitude, longitude in itertools.product(_values(north, marked), _values(east, marked)):
            pair = _pair(north, latitude, east, longitude)
            if abs(latitude) <= 90 and abs(longitude) <= 180:
                pairs.append(pair)
            elif not marked and abs(latitude) <= 180 and abs(longitude) <= 90:
                swapped.append(_pair(east, longitude, north, latitude))
            else:
                beyond.append(pair)
    lone: tuple[str, ...] = ()
    if alone is not None and abs(alone.values[0]) <= 180:
        lone = tuple(say("{coordinate} alone", coordinate=alone.words(value)) for value in alone.values)
    return _Readings(tuple(pairs), lone, tuple(swapped), tuple(beyond))


def _values(coordinate: Coordinate, marked: bool) -> tuple[float, ...]:
    """In 51.5 N 2.25 the second number has neither letter nor sign: it may lie on either side."""
    if marked and coordinate.axis is None and not coordinate.signed and coordinate.values[0]:
        return (coordinate.values[0], -coordinate.values[0])
    return coordinate.values


def _pair(north: Coordinate, latitude: float, east: Coordinate, longitude: float) -> Pair:
    """The values with their side in words: both are known here, so both are named."""
    words = say(
        "latitude {north}, longitude {east}",
        north=replace(north, axis="latitude").words(latitude),
        east=replace(east, axis="longitude").words(longitude),
    )
    alike = len(north.parts) == len(east.parts) and "." in north.parts[-1] and "." in east.parts[-1]
    return Pair(latitude, longitude, north.unit_deg, east.unit_deg, alike, words)


def _distinct(pairs: Iterator[Pair]) -> list[Pair]:
    seen: dict[tuple[float, float], Pair] = {}
    for pair in pairs:
        seen.setdefault((pair.latitude, pair.longitude), pair)
    return list(seen.values())

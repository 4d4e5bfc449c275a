"""Waypoints of a GPX file, and which of them a find was made at, by time. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import ParseError, XMLParser

from ledger.places.distance import distance_m
from ledger.taking_in.refused import FileRefused
from ledger.words import say

MOST_BYTES = 20_000_000
MOST_POINTS = 50_000
MOST_ELEMENTS = 1_000_000  # of the tracks beside them, too: 20 MB of track points have 600,000
_DEEPEST = 60
# Two points that are so near each other in time that a watch does not tell them apart; so near in place, they are one.
_TOO_LIKE = timedelta(seconds=60)
_ONE_PLACE_M = 30.0


@dataclass(frozen=True, slots=True)
class Waypoint:
    """`at` in UTC."""

    name: str
    latitude: float
    longitude: float
    at: datetime
    altitude_m: float | None = None


@dataclass(frozen=True, slots=True)
class Matched:
    """The waypoint of a find, or None and why; `away`: how far apart they are in time."""

    point: Waypoint | None = None
    away: timedelta = timedelta()
    why: str = ""


def read_waypoints(data: bytes) -> list[Waypoint]:
    """Points with a time, in its order. Raises FileRefused."""
    if len(data) > MOST_BYTES:
        raise FileRefused(
            say(
                "The GPX file has {n} MB; {most} are the most. Nothing was written.",
                n=len(data) // 1_000_000,
                most=MOST_BYTES // 1_000_000,
            )
        )
    held = _Held()
    try:
        parser = XMLParser(target=held, forbid_dtd=True)
        parser.feed(data)
        parser.close()
    except DefusedXmlException:
        raise FileRefused(
            say(
                "The GPX file declares a document type or entities, as no device writes it. Nothing was written. "
                "It is not read."
            )
        ) from None
    except (ParseError, ValueError, LookupError) as problem:
        raise FileRefused(
            say(
                "The GPX file is no XML that can be read: {problem}. Nothing was written. Take it from the device anew.",
                problem=str(problem),
            )
        ) from None
    if held.root != "gpx":
        raise FileRefused(
            say("The file is XML, and no GPX. Nothing was written. Choose the file with the waypoints.")
        )
    found, without = held.found, held.without
    if not found:
        raise FileRefused(
            say(
                "The GPX file holds {n} waypoints, but none with its place and time. Nothing was written. Finds are "
                "matched to waypoints by their time.",
                n=without,
            )
            if without
            else say(
                "The GPX file holds no waypoints. Nothing was written. Finds are matched to waypoints by their time."
            )
        )
    return sorted(found, key=lambda point: (point.at, point.name))


class _Held:
    """What the waypoints of a file say, kept as they are read: a file may hold a million other elements beside them."""

    def __init__(self) -> None:
        self.root = ""
        self.found: list[Waypoint] = []
        self.without = 0
        self._elements = self._depth = 0
        self._place: Mapping[str, str] = {}
        self._texts: dict[str, str] | None = None  # of the waypoint that is being read
        self._text: list[str] = []

    def start(self, tag: str, attributes: Mapping[str, str]) -> None:
        self._elements += 1
        self._depth += 1
        if self._elements > MOST_ELEMENTS or self._depth > _DEEPEST:
            raise FileRefused(
                say(
                    "The GPX file holds more than {most} elements, or elements deeper within one another than any device "
                    "writes. Nothing was written. Take the waypoints from the device without the tracks.",
                    most=f"{MOST_ELEMENTS:,}",
                )
            )
        if self._depth == 1:
            self.root = _local(tag)
        elif self._depth == 2 and _local(tag) == "wpt":
            self._place, self._texts = attributes, {}
        elif self._depth == 3:
            self._text = []

    def data(self, text: str) -> None:
        if self._texts is not None and self._depth == 3:
            self._text.append(text)

    def end(self, tag: str) -> None:
        if self._texts is not None and self._depth == 3:
            self._texts[_local(tag)] = "".join(self._text).strip()
        elif self._texts is not None and self._depth == 2:
            self._take(_point(self._place, self._texts))
            self._texts = None
        self._depth -= 1

    def close(self) -> None:
        """The parser asks for it."""

    def _take(self, point: Waypoint | None) -> None:
        if point is None:
            self.without += 1
            return
        self.found.append(point)
        if len(self.found) > MOST_POINTS:
            raise FileRefused(
                say(
                    "The GPX file holds more than {most} waypoints. Nothing was written. Give it in parts.",
                    most=f"{MOST_POINTS:,}",
                )
            )


def _point(place: Mapping[str, str], texts: Mapping[str, str]) -> Waypoint | None:
    try:
        latitude, longitude = float(place.get("lat", "")), float(place.get("lon", ""))
        at = datetime.fromisoformat(texts.get("time", ""))
        at = at.replace(tzinfo=UTC) if at.tzinfo is None else at.astimezone(UTC)
        altitude = float(texts["ele"]) if texts.get("ele") else None
    except (ValueError, OverflowError):  # also a time beyond the calendar
        return None
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        return None
    if altitude is not None and not -430 <= altitude <= 9000:
        altitude = None
    return Waypoint(texts.get("name", "")[:80], latitude, longitude, at, altitude)


def match(points: Sequence[Waypoint], at: datetime, within: timedelta) -> Matched:
    """The waypoint nearest in time to *at* (with its offset), if it is within *within* of it and no other is about as near
    in time and somewhere else: then neither is taken."""
    near = sorted(((abs(point.at - at), point) for point in points), key=lambda pair: (pair[0], pair[1].name))
    near = [pair for pair in near if pair[0] <= within]
    if not near:
        return Matched(why=say("no waypoint within {n} minutes of it", n=within // timedelta(minutes=1)))
    away, first = near[0]
    for other_away, other in near[1:]:
        if other_away - away > _TOO_LIKE:
            break
        apart = distance_m(
            latitude=first.latitude,
            longitude=first.longitude,
            to_latitude=other.latitude,
            to_longitude=other.longitude,
        )
        if apart > _ONE_PLACE_M:
            return Matched(
                why=say(
                    "two waypoints are as near to it in time and {apart} m apart, {first} and {other}; neither was taken",
                    apart=f"{apart:.0f}",
                    first=first.name or say("one"),
                    other=other.name or say("another"),
                )
            )
    return Matched(first, away)


def _local(tag: str) -> str:
    return tag.rpartition("}")[2]

"""What a photo says about itself: time, place, camera, and every doubt about them.

Never raises on bad metadata: a value that cannot be right is None, and a warning says why.
"""

import re
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from typing import BinaryIO, TypeVar

from PIL import Image

from ledger.photos import exif_gps
from ledger.photos.decoding import FORMATS, opened
from ledger.photos.errors import PhotoRefused
from ledger.photos.exif_readers import Answers, Value, read_by_exifread, read_by_pillow
from ledger.words import say

_T = TypeVar("_T")

_DATE = re.compile(r"(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d):(\d\d)")
_OFFSET = re.compile(r"([+-])(\d\d):(\d\d)")
_BLANK = re.compile(r"[\s:0-]*")


@dataclass(frozen=True, slots=True)
class PhotoFacts:
    """What was read from a photo. None means that the photo does not say, never 0.

    ``taken_at`` is the camera's own clock, without zone; it is UTC only together with ``utc_offset_minutes``.
    ``latitude`` and ``longitude`` are decimal degrees (both or neither); ``datum`` is as written, blank is WGS 84
    by the receivers' custom. ``error_m`` is the radius the phone gives. ``altitude_ref`` is the raw value, because
    Exif 3.0 changed its meaning (see ``exif_gps.altitude_m``). ``direction_ref`` is ``true`` or ``magnetic``.
    ``width`` and ``height`` are the stored pixels before ``orientation`` (1 to 8) turns them; a HEIC comes out
    of its decoder upright, so there the orientation is always 1.
    """

    taken_at: datetime | None = None
    utc_offset_minutes: int | None = None
    gps_utc: datetime | None = None
    latitude: float | None = None
    longitude: float | None = None
    error_m: float | None = None
    direction_deg: float | None = None
    altitude_m: float | None = None
    camera_make: str | None = None
    camera_model: str | None = None
    orientation: int | None = None
    width: int | None = None
    height: int | None = None
    format: str | None = None
    warnings: tuple[str, ...] = ()
    direction_ref: str | None = None
    altitude_ref: int | None = None
    datum: str | None = None
    exif_version: str | None = None

    @property
    def taken_at_utc(self) -> datetime | None:
        """The moment in UTC; None without an offset: local time is never taken for UTC."""
        if self.taken_at is None or self.utc_offset_minutes is None:
            return None
        return (self.taken_at - timedelta(minutes=self.utc_offset_minutes)).replace(tzinfo=UTC)


def read_facts(photo: bytes | BinaryIO) -> PhotoFacts:
    """Facts of a photo given as bytes or as a file opened for reading bytes; the file is read from its start."""
    if not isinstance(photo, bytes):
        photo.seek(0)
        photo = photo.read()
    try:
        with opened(photo, "") as picture:
            return facts_of(photo, picture)
    except PhotoRefused as refusal:
        return PhotoFacts(warnings=refusal.args)


def facts_of(data: bytes, picture: Image.Image) -> PhotoFacts:
    """As ``read_facts``, for a picture that is open already; both readers see the same bytes."""
    answers, remarks = _agreed(read_by_exifread(data), read_by_pillow(picture), picture.format == "HEIF")
    latitude, longitude = _position(answers, remarks)
    taken_at = _noted(remarks, _taken_at(answers))
    offset = _noted(remarks, _offset_minutes(answers.get("offset_original")))
    gps_utc = _noted(remarks, exif_gps.time_utc(answers.get("gps_date"), answers.get("gps_time")))
    altitude_ref = _integer(answers.get("altitude_ref"))
    direction = _noted(remarks, exif_gps.direction_deg(answers.get("direction")))
    facts = PhotoFacts(
        taken_at=taken_at,
        utc_offset_minutes=offset,
        gps_utc=gps_utc,
        latitude=latitude,
        longitude=longitude,
        error_m=_noted(remarks, exif_gps.error_m(answers.get("error"))),
        direction_deg=direction,
        altitude_m=_noted(remarks, exif_gps.altitude_m(answers.get("altitude"), altitude_ref)),
        camera_make=_text(answers.get("make")),
        camera_model=_text(answers.get("model")),
        orientation=_noted(remarks, _orientation(answers.get("orientation"))),
        width=picture.width,
        height=picture.height,
        format=FORMATS[picture.format or ""],
        direction_ref=None if direction is None else _direction_ref(answers.get("direction_ref")),
        altitude_ref=altitude_ref,
        datum=_text(answers.get("datum")),
        exif_version=_text(answers.get("exif_version")),
        warnings=tuple(remarks),
    )
    return _with_clock_check(facts)


def _agreed(first: Answers | None, second: Answers | None, is_heic: bool) -> tuple[Answers, list[str]]:
    """ExifRead's answers, filled up from Pillow's, with a remark for each value in which they differ."""
    remarks: list[str] = []
    mine, other = dict(first or {}), dict(second or {})
    if is_heic:
        mine.pop(
            "orientation", None
        )  # the decoder has turned the pixels already, and Pillow's answer knows it
    for name in sorted(mine.keys() & other.keys()):
        if _comparable(mine[name]) != _comparable(other[name]):
            remarks.append(
                say(
                    "Two readers disagree on the photo's {tag}: {one} and {other}. The first was kept; check it.",
                    tag=name.replace("_", " "),
                    one=_shown(mine[name]),
                    other=_shown(other[name]),
                )
            )
    return {**other, **mine}, remarks


def _comparable(value: Value) -> Value:
    # The readers decode letters outside ASCII differently; that is no disagreement about the photo.
    return "".join(c for c in value if " " <= c <= "~").strip() if isinstance(value, str) else value


def _shown(value: Value) -> str:
    if isinstance(value, str):
        return repr(value[:40])
    return " ".join("none" if part is None else f"{float(part):.8g}" for part in value[:4]) or say("nothing")


def _noted(remarks: list[str], found: tuple[_T | None, str | None]) -> _T | None:
    value, remark = found
    if remark:
        remarks.append(remark)
    return value


def _position(answers: Answers, remarks: list[str]) -> tuple[float | None, float | None]:
    latitude = _noted(
        remarks, exif_gps.degrees("latitude", answers.get("latitude"), answers.get("latitude_ref"))
    )
    longitude = _noted(
        remarks, exif_gps.degrees("longitude", answers.get("longitude"), answers.get("longitude_ref"))
    )
    if latitude == 0 and longitude == 0:
        remarks.append(
            say("The photo's position is 0, 0: a receiver without a fix writes that, so it was not used.")
        )
        return None, None
    if latitude is None or longitude is None:
        if latitude is not None or longitude is not None:
            remarks.append(say("The photo gives only one half of its position; it was not used."))
        return None, None
    for name, value in (("latitude", latitude), ("longitude", longitude)):
        if value == 0:
            remarks.append(say("The photo's {axis} is exactly 0; check the place.", axis=exif_gps.AXES[name]))
    status = answers.get("gps_status")
    if isinstance(status, str) and status.upper() == "V":
        remarks.append(
            say("The phone had no fix when it wrote the photo's position (status V); check the place.")
        )
    return latitude, longitude


def _taken_at(answers: Answers) -> tuple[datetime | None, str | None]:
    written = answers.get("date_original")
    if not isinstance(written, str) or _BLANK.fullmatch(written):
        return None, None  # blank or zeros: the standard's way to say unknown
    match = _DATE.fullmatch(written)
    if match:
        subsec = answers.get("subsec_original")
        digits = subsec if isinstance(subsec, str) and subsec.isascii() and subsec.isdigit() else "0"
        try:
            year, month, day, hour, minute, second = map(int, match.groups())
            micro = int(digits[:6].ljust(6, "0"))
            return datetime(year, month, day, hour, minute, second, micro), None  # noqa: DTZ001 (local, no zone)
        except ValueError:
            pass
    return None, say(
        "The photo's date {written} is no date and time; it was not used.", written=repr(written[:25])
    )


def _offset_minutes(written: Value | None) -> tuple[int | None, str | None]:
    """Minutes east of UTC, summer time included; real zones lie between -12 and +14 hours (from memory)."""
    if not isinstance(written, str) or not written.strip(" :"):
        return None, None
    match = _OFFSET.fullmatch(written)
    if match:
        minutes = int(match[2]) * 60 + int(match[3])
        minutes = -minutes if match[1] == "-" else minutes
        if int(match[3]) < 60 and -12 * 60 <= minutes <= 14 * 60:
            return minutes, None
    if written == "Z":
        return 0, None
    return None, say(
        "The photo's offset from UTC {written} is none; its time zone is unknown.", written=repr(written[:12])
    )


def _orientation(written: Value | None) -> tuple[int | None, str | None]:
    if written is None:
        return None, None
    number = _integer(written)
    if number is None or not 1 <= number <= 8:
        return None, say("The photo's orientation is not 1 to 8; it is shown as stored.")
    return number, None


def _direction_ref(written: Value | None) -> str:
    return "magnetic" if isinstance(written, str) and written.upper() == "M" else "true"  # Exif: default T


def _with_clock_check(facts: PhotoFacts) -> PhotoFacts:
    """Camera clock against GPS time, where the offset is known: more than 12 hours apart is worth a look."""
    moment = facts.taken_at_utc
    if moment is None or facts.gps_utc is None:
        return facts
    hours = abs((moment - facts.gps_utc).total_seconds()) / 3600
    if hours <= 12:
        return facts
    remark = say(
        "The camera's clock and the photo's GPS time differ by {hours} hours; check the date.",
        hours=f"{hours:.0f}",
    )
    return replace(facts, warnings=(*facts.warnings, remark))


def _integer(written: Value | None) -> int | None:
    if written is None or isinstance(written, str) or len(written) != 1:
        return None
    number = written[0]
    return int(number) if isinstance(number, Fraction) and number.denominator == 1 else None


def _text(written: Value | None) -> str | None:
    if not isinstance(written, str):
        return None
    return "".join(c for c in written if c.isprintable()).strip()[:80] or None

"""Photographs for the demo club, drawn: caps, undersides and wood, each with a scale in the frame.

Deterministic: the same spec, seed and shot give the same bytes (with the same Pillow). What a picture shows is known
exactly, which no photograph offers: ``px_per_mm`` holds everywhere on the cap, the underside and the card.
"""

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from io import BytesIO
from random import Random

from PIL import ExifTags, Image, ImageDraw
from PIL.TiffImagePlugin import IFDRational

from ledger.demo.beside import NOTHING, Beside, printed_card, slip
from ledger.demo.brushes import (
    Colour,
    Size,
    bark,
    blur,
    cloud,
    darker,
    finished,
    forest_floor,
    grain,
    lay,
    lit,
    mix,
    scale_card,
    shade,
)
from ledger.demo.caps import Outline, lay_cap, strip
from ledger.demo.logs import log
from ledger.demo.undersides import fertile_share, underside

FRAME = (1040, 780)
LARGEST_BYTES = 245_000  # of a picture of that frame; of a larger one as much more


@dataclass(frozen=True, slots=True)
class Shot:
    """What the camera writes into the photo. None is left out.

    ``taken_at`` is the camera's local clock, without zone. ``orientation`` 1 to 8: the pixels are stored turned so
    that the photo is upright when it is obeyed.
    """

    taken_at: datetime | None = None
    utc_offset_minutes: int | None = None
    latitude: float | None = None
    longitude: float | None = None
    error_m: float | None = None
    altitude_m: float | None = None
    direction_deg: float | None = None
    orientation: int = 1
    make: str | None = "Drawn"
    model: str | None = "Field camera"


@dataclass(frozen=True, slots=True)
class CapSpec:
    """A cap from above. Colours run from the attachment to the margin; ``zoned`` 0 (plain) to 1 (strongly).

    ``surface`` is velvety, hairy, rough or smooth. ``px_per_mm`` None fits the cap into the frame.
    """

    width_mm: float
    length_mm: float
    zone_colours: tuple[Colour, ...]
    margin_colour: Colour = (238, 228, 204)
    surface: str = "velvety"
    zoned: float = 1.0
    lobes: float = 0.03
    companions: int = 2
    bark: str = "furrowed"
    moss: float = 0.3
    px_per_mm: float | None = None
    frame: Size = FRAME


def cap_px_per_mm(spec: CapSpec) -> float:
    """Pixels per mm of the drawing: as asked, or so that the cap fills most of the frame."""
    if spec.px_per_mm is not None:
        return spec.px_per_mm
    return min(spec.frame[0] * 0.66 / spec.width_mm, spec.frame[1] * 0.58 / spec.length_mm, 40.0)


def cap_outline(spec: CapSpec, seed: int) -> Outline:
    """The cap as it lies in the drawing of that seed: what a person who measures on it would point at."""
    rng = Random(f"outline {seed}")
    px = cap_px_per_mm(spec)
    middle = spec.frame[0] * rng.uniform(0.46, 0.54), spec.frame[1] * 0.24
    return Outline(rng, middle, spec.width_mm * px, spec.length_mm * px, spec.lobes)


def draw_cap(spec: CapSpec, seed: int, shot: Shot | None = None, beside: Beside = NOTHING) -> bytes:
    """A zoned bracket on bark, seen from above, with smaller ones beside it and a scale card; JPEG bytes."""
    rng = Random(f"cap {seed}")
    px = cap_px_per_mm(spec)
    picture = _log_over_floor(rng, spec.bark, spec.moss, spec.frame)
    outline = cap_outline(spec, seed)
    middle, width, length = outline.centre, outline.width, outline.length
    places = [(-1.0, -0.25), (1.0, -0.1), (0.35, -0.6)]
    rng.shuffle(places)
    for dx, dy in places[: spec.companions]:
        share = rng.uniform(0.38, 0.55)
        centre = (
            middle[0] + dx * width / 2 * rng.uniform(0.9, 1.1),
            middle[1] + dy * length * 0.5 + rng.uniform(-20, 20),
        )
        small = Outline(rng, centre, width * share, length * share * 0.9, spec.lobes * 1.4)
        texture = strip(rng, spec.zone_colours, spec.margin_colour, spec.surface, spec.zoned, (600, 240))
        lay_cap(picture, small, texture, rng, spec.margin_colour)
    texture = strip(rng, spec.zone_colours, spec.margin_colour, spec.surface, spec.zoned)
    lay_cap(picture, outline, texture, rng, spec.margin_colour)
    _lay_scale(picture, px, rng, beside)
    return _jpeg(finished(picture, rng), shot)


@dataclass(frozen=True, slots=True)
class WoodSpec:
    """A cut log: ``bark`` is furrowed, smooth, birch or flaky; ``decay`` 1 (sound) to 5 (crumbling)."""

    diameter_mm: float = 220.0
    bark: str = "furrowed"
    wood_colour: Colour = (206, 170, 118)
    decay: int = 2
    moss: float = 0.3


@dataclass(frozen=True, slots=True)
class UndersideSpec:
    """An underside: ``kind`` is pores, maze, gills, teeth, smooth or folds.

    ``per_mm`` is exact for pores: the square root of their number per mm² (along one row of the net it is 0.93 of
    that); for maze, folds, gills and teeth it is about what a line across meets. ``inner_colour`` is that of the
    depth. ``px_per_mm`` None shows a pore 15 pixels wide, or the whole cap where that is larger.
    """

    kind: str
    width_mm: float
    length_mm: float
    per_mm: float = 4.0
    colour: Colour = (232, 222, 200)
    inner_colour: Colour = (150, 124, 92)
    margin_colour: Colour = (226, 212, 184)
    bark: str = "furrowed"
    px_per_mm: float | None = None
    frame: Size = FRAME


def underside_px_per_mm(spec: UndersideSpec) -> float:
    """Pixels per mm of the drawing: as asked, else close enough to count and no closer."""
    if spec.px_per_mm is not None:
        return spec.px_per_mm
    whole = min(spec.frame[0] * 0.8 / spec.width_mm, spec.frame[1] * 0.66 / spec.length_mm)
    return whole if spec.kind == "smooth" else max(whole, min(140.0, 15.0 * spec.per_mm))


def draw_underside(
    spec: UndersideSpec, seed: int, shot: Shot | None = None, beside: Beside = NOTHING
) -> bytes:
    """The underside of a bracket towards its margin, with a scale card; JPEG bytes."""
    rng = Random(f"underside {seed}")
    px, frame = underside_px_per_mm(spec), spec.frame
    length = spec.length_mm * px
    centre = frame[0] * rng.uniform(0.44, 0.56), min(frame[1] * 0.16, frame[1] * 0.83 - length)
    outline = Outline(rng, centre, spec.width_mm * px, length, 0.025)
    picture = _log_over_floor(rng, spec.bark, 0.3, frame) if centre[1] > 0 else forest_floor(rng, frame)
    plane = underside(rng, frame, outline, spec.kind, px, spec.per_mm, spec.colour, spec.inner_colour)
    mask = outline.mask(frame)
    rim = Image.new("L", frame, 255)
    ImageDraw.Draw(rim).polygon(outline.edge(fertile_share(spec.length_mm)), fill=0)
    margin = mix(darker(spec.margin_colour, 0.72), spec.margin_colour, cloud(rng, frame, (60, 40)))
    margin = lit(margin, grain(rng, frame, (2.6, 2.6)), 0.2)
    plane = Image.composite(margin, plane, blur(rim, max(1.5, length * 0.012)))
    plane = lit(plane, blur(mask, max(8.0, min(60.0, length * 0.05))), 1.6, 6)
    cast = Image.new("L", frame, 0)
    cast.paste(mask, (10, 22))
    picture = shade(picture, blur(cast, 16), 0.8)
    picture.paste(plane, (0, 0), mask)
    _lay_scale(picture, px, rng, beside)
    return _jpeg(finished(picture, rng), shot)


def draw_wood(spec: WoodSpec, seed: int, shot: Shot | None = None, beside: Beside = NOTHING) -> bytes:
    """A lying log with its cut end, rings, bark and a scale card in the plane of the end; JPEG bytes."""
    rng = Random(f"wood {seed}")
    picture = forest_floor(rng, FRAME)
    px = log(picture, rng, spec.diameter_mm, spec.bark, spec.wood_colour, spec.decay, spec.moss)
    _lay_scale(picture, px, rng, beside)
    return _jpeg(finished(picture, rng), shot)


def _log_over_floor(rng: Random, kind: str, moss: float, frame: Size) -> Image.Image:
    """A lying log across the upper half, its lower side in shade, the forest floor behind and below."""
    width, height = frame
    picture = forest_floor(rng, frame)
    log_height = round(height * 0.62)
    wood = bark(rng, (width, log_height), kind, moss)
    round_off = (
        Image.linear_gradient("L")
        .resize((width, log_height))
        .point([max(0, min(255, round((v - 90) * 1.55))) for v in range(256)])
    )
    wood = shade(wood, round_off, 0.8)
    outline = [(0.0, 0.0), (width, 0.0)]
    swing, start = rng.uniform(6, 16), rng.uniform(0, 6)
    outline += [
        (x, log_height - 24 + swing * math.sin(start + x / 260) + rng.uniform(-3, 3))
        for x in range(width, -1, -40)
    ]
    solid = Image.new("L", frame, 0)
    ImageDraw.Draw(solid).polygon(outline, fill=255)
    picture = shade(picture, blur(solid, 44), 0.72)
    picture.paste(wood, (0, 0), blur(solid, 3).crop((0, 0, width, log_height)))
    return picture


def _lay_scale(picture: Image.Image, px_per_mm: float, rng: Random, beside: Beside) -> None:
    """The printed card, or a ruler of the longest round number of mm that takes at most two fifths of the frame; a slip."""
    width, height = picture.size
    lengths = [mm for mm in (5, 10, 20, 30, 50, 100, 150, 200) if mm * px_per_mm <= width * 0.42]
    card = (
        printed_card(px_per_mm, beside.number)
        if beside.card
        else scale_card(max(lengths, default=5), px_per_mm)
    )
    at = (width - card.width - round(rng.uniform(24, 60)), height - card.height - round(rng.uniform(20, 44)))
    lay(picture, card, at)
    if beside.number and not beside.card:
        # As large as its code needs: what is drawn close would show a slip that is larger than the photo.
        paper = slip(max(4.5, min(px_per_mm, 0.4 * width / 56)), beside.number)
        lay(picture, paper, (round(rng.uniform(24, 60)), height - paper.height - round(rng.uniform(20, 44))))


_UNTURN = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


def _jpeg(picture: Image.Image, shot: Shot | None) -> bytes:
    """Encoded as well as the limit of bytes allows."""
    if shot is not None and shot.orientation in _UNTURN:
        picture = picture.transpose(_UNTURN[shot.orientation])
    options = {} if shot is None else {"exif": exif_of(shot)}
    for quality in (84, 76, 66, 55, 40):
        out = BytesIO()
        picture.save(out, "JPEG", quality=quality, **options)
        if out.tell() <= LARGEST_BYTES * picture.width * picture.height / (FRAME[0] * FRAME[1]):
            break
    return out.getvalue()


def exif_of(shot: Shot) -> Image.Exif:
    """The EXIF block of a shot, forms and units as in Exif 2.32."""
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = shot.orientation
    for tag, text in ((ExifTags.Base.Make, shot.make), (ExifTags.Base.Model, shot.model)):
        if text is not None:
            exif[tag] = text
    inner, gps = exif.get_ifd(ExifTags.IFD.Exif), exif.get_ifd(ExifTags.IFD.GPSInfo)
    inner[ExifTags.Base.ExifVersion] = b"0232"
    if shot.taken_at is not None:
        inner[ExifTags.Base.DateTimeOriginal] = f"{shot.taken_at:%Y:%m:%d %H:%M:%S}"
    if shot.utc_offset_minutes is not None:
        sign = "-" if shot.utc_offset_minutes < 0 else "+"
        hours, minutes = divmod(abs(shot.utc_offset_minutes), 60)
        inner[ExifTags.Base.OffsetTimeOriginal] = f"{sign}{hours:02}:{minutes:02}"
    if shot.latitude is not None and shot.longitude is not None:
        gps.update(_position(shot, shot.latitude, shot.longitude))
    return exif


def _position(shot: Shot, latitude: float, longitude: float) -> dict[int, object]:
    tags: dict[int, object] = {
        ExifTags.GPS.GPSVersionID: b"\x02\x03\x00\x00",
        ExifTags.GPS.GPSLatitudeRef: "S" if latitude < 0 else "N",
        ExifTags.GPS.GPSLatitude: _sexagesimal(latitude),
        ExifTags.GPS.GPSLongitudeRef: "W" if longitude < 0 else "E",
        ExifTags.GPS.GPSLongitude: _sexagesimal(longitude),
        ExifTags.GPS.GPSMapDatum: "WGS-84",
    }
    if shot.error_m is not None:
        tags[ExifTags.GPS.GPSHPositioningError] = _rational(shot.error_m, 10)
    if shot.altitude_m is not None:
        tags[ExifTags.GPS.GPSAltitudeRef] = b"\x01" if shot.altitude_m < 0 else b"\x00"
        tags[ExifTags.GPS.GPSAltitude] = _rational(abs(shot.altitude_m), 10)
    if shot.direction_deg is not None:
        tags[ExifTags.GPS.GPSImgDirectionRef] = "T"
        tags[ExifTags.GPS.GPSImgDirection] = _rational(shot.direction_deg, 100)
    if shot.taken_at is not None and shot.utc_offset_minutes is not None:
        utc = shot.taken_at - timedelta(minutes=shot.utc_offset_minutes)
        tags[ExifTags.GPS.GPSDateStamp] = f"{utc:%Y:%m:%d}"
        tags[ExifTags.GPS.GPSTimeStamp] = tuple(IFDRational(n, 1) for n in (utc.hour, utc.minute, utc.second))
    return tags


def _sexagesimal(degrees: float) -> tuple[IFDRational, ...]:
    """Degrees, minutes and seconds to a ten-thousandth: 3 mm on the ground."""
    parts = round(Fraction(abs(degrees)) * 36_000_000)
    whole, rest = divmod(parts, 36_000_000)
    minutes, seconds = divmod(rest, 600_000)
    return IFDRational(whole, 1), IFDRational(minutes, 1), IFDRational(seconds, 10_000)


def _rational(value: float, denominator: int) -> IFDRational:
    return IFDRational(round(value * denominator), denominator)

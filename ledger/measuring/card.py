"""The printed scale card as data: where everything on it lies, in millimetres.

Origin is the upper left corner of the cut card, x to the right, y down. The print, the search for the card on a photo and
the white balance read the same table. A card once printed is used for years: what stands here is never changed, a better
card is a new kind with marker ids of its own.
"""

from dataclasses import dataclass
from types import MappingProxyType

from ledger.words import later

MODULES = 4  # of a marker, along one side; around them a black border of one module

# Black (0) and white (1) modules of each marker, row by row. Any two differ in 6 of 16 modules or more, however they are
# turned, and so does each from itself turned. Found by OpenCV's `extendDictionary(10, 4, randomSeed=42)`, the best of 400
# seeds; kept as they are, since cards with them are in people's pockets.
MARKER_BITS = (
    *("0100101001101111", "0011101110000010", "0001110101011011", "1000001101111010", "1011010100011100"),
    *("1010001011100001", "1111110000100000", "1100001110010001", "0010100101001110", "0111100001110110"),
)

CHECK_LINE_MM = 50.0
CHECK_WORDS = later("this line is 50 mm: measure it")


@dataclass(frozen=True, slots=True)
class Marker:
    """A black square with its upper left corner at x, y; `id` is its row in MARKER_BITS."""

    id: int
    x_mm: float
    y_mm: float
    side_mm: float

    @property
    def corners_mm(self) -> tuple[tuple[float, float], ...]:
        """Upper left, then clockwise: the order in which OpenCV names them."""
        left, top, right, bottom = self.x_mm, self.y_mm, self.x_mm + self.side_mm, self.y_mm + self.side_mm
        return ((left, top), (right, top), (right, bottom), (left, bottom))


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle with its upper left corner at x, y."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class GreyPatch:
    """A patch printed in one grey. `level` is its sRGB value, 0 to 255, the same in all three channels."""

    box: Box
    level: int

    @property
    def reflectance(self) -> float:
        """Share of light meant to come back: the sRGB transfer curve (IEC 61966-2-1). A printer only comes near it."""
        value = self.level / 255
        return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)


@dataclass(frozen=True, slots=True)
class ScaleEdge:
    """A millimetre scale along an edge of the card: its zero, its length, and whether its marks point `down` or up."""

    x_mm: float
    y_mm: float
    length_mm: int
    down: bool


@dataclass(frozen=True, slots=True)
class CheckLine:
    """The line to lay a ruler on: its left end, and how high its end marks stand."""

    x_mm: float
    y_mm: float
    end_mm: float
    length_mm: float = CHECK_LINE_MM


@dataclass(frozen=True, slots=True)
class CardKind:
    """A card: its size, what is found on a photo (markers, greys), and what people read and write on."""

    code: str
    title: str
    titles: str
    width_mm: float
    height_mm: float
    markers: tuple[Marker, ...]
    greys: tuple[GreyPatch, ...]
    scales: tuple[ScaleEdge, ...]
    check: CheckLine
    number: Box  # the field for the collecting number, without a code
    number_beside_code: Box
    code_box: Box

    @property
    def corners_mm(self) -> tuple[tuple[float, float], ...]:
        """Of the cut card: upper left, then clockwise."""
        return ((0.0, 0.0), (self.width_mm, 0.0), (self.width_mm, self.height_mm), (0.0, self.height_mm))

    @property
    def centre_mm(self) -> tuple[float, float]:
        return self.width_mm / 2, self.height_mm / 2


_GREY_LEVELS = (232, 194, 156, 118, 80, 36)


def _markers(first_id: int, xs: tuple[float, ...], ys: tuple[float, ...], side: float) -> tuple[Marker, ...]:
    """Row by row, from the upper left."""
    places = [(x, y) for y in ys for x in xs]
    return tuple(Marker(first_id + at, x, y, side) for at, (x, y) in enumerate(places))


def _greys(left: float, top: float, side: float, step: float) -> tuple[GreyPatch, ...]:
    return tuple(
        GreyPatch(Box(left + at * step, top, side, side), level) for at, level in enumerate(_GREY_LEVELS)
    )


SMALL = CardKind(
    code="small",
    title=later("Scale card"),
    titles=later("Scale cards"),
    width_mm=85.0,
    height_mm=54.0,
    markers=_markers(0, (3.5, 68.5), (7.5, 33.5), 13.0),
    greys=_greys(19.5, 33.5, 6.8, 7.84),
    scales=(ScaleEdge(2.5, 0.0, 80, down=True), ScaleEdge(2.5, 54.0, 80, down=False)),
    check=CheckLine(17.5, 27.5, 2.6),
    number=Box(19.5, 7.5, 46.0, 13.0),
    number_beside_code=Box(19.5, 7.5, 30.0, 13.0),
    code_box=Box(50.8, 5.8, 16.4, 16.4),
)
LARGE = CardKind(
    code="large",
    title=later("Large scale card"),
    titles=later("Large scale cards"),
    width_mm=180.0,
    height_mm=120.0,
    markers=_markers(4, (8.0, 148.0), (11.0, 48.0, 85.0), 24.0),
    greys=_greys(40.0, 85.0, 15.0, 17.0),
    scales=(ScaleEdge(5.0, 0.0, 170, down=True), ScaleEdge(5.0, 120.0, 170, down=False)),
    check=CheckLine(65.0, 60.0, 4.0),
    number=Box(40.0, 11.0, 100.0, 24.0),
    number_beside_code=Box(40.0, 11.0, 70.0, 24.0),
    code_box=Box(113.0, 7.8, 30.4, 30.4),
)
KINDS = MappingProxyType({kind.code: kind for kind in (SMALL, LARGE)})


def kind_of(marker_id: int) -> CardKind | None:
    """The kind of card that bears this marker."""
    return next((kind for kind in KINDS.values() if any(m.id == marker_id for m in kind.markers)), None)

"""One coordinate out of typed marks: degrees, degrees and minutes, or degrees, minutes and seconds.

A coordinate is read into every value its marks allow: "-81 W" may be 81 W or 81 E. Choosing is not done here.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from ledger.places.errors import PlaceError
from ledger.words import say


@dataclass(frozen=True, slots=True)
class Token:
    """kind: number, degree, minute, second, colon, side (a letter N S E W O), label (lat or lon), break."""

    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Coordinate:
    """axis: "latitude", "longitude" or None where nothing says; values: every reading; unit_deg: its last digit.

    `parts` are the numbers typed (1 to 3, without sign); `signed` whether a + or - stood there.
    """

    axis: str | None
    values: tuple[float, ...]
    unit_deg: float
    parts: tuple[str, ...]
    signed: bool

    def words(self, value: float) -> str:
        """One of its values for people, in the parts it was typed in: 10°30'N, or 10°30' where no side is known."""
        size = "".join(f"{part}{mark}" for part, mark in zip(self.parts, "°'\"", strict=False))
        if self.axis is None:
            return f"-{size}" if value < 0 else size
        sides = "NS" if self.axis == "latitude" else "EW"
        return f"{size}{sides[1] if value < 0 else sides[0]}"


_TOKENS = re.compile(
    r"""
    (?P<number>(?<![0-9.])[+-]?[0-9]+(?:\.[0-9]+)?)
  | (?P<label>(?:latitude|lat|longitude|long|lon|lng)(?![a-z])[.:=]*)
  | (?P<second>''|"|(?:seconds?|secs?)(?![a-z])\.?|s(?=[nsewo](?![a-z])))
  | (?P<side>(?:north|south|east|west|[nsewo])(?![a-z])\.?)
  | (?P<degree>°|(?:degrees?|degs?)(?![a-z])\.?|d(?![a-z]))
  | (?P<minute>'|(?:minutes?|mins?)(?![a-z])\.?|m(?![a-z]))
  | (?P<colon>:)
  | (?P<break>[,;/|])
  | (?P<space>\ )
    """,
    re.VERBOSE | re.IGNORECASE,
)
_SIDES: dict[str, tuple[str, tuple[int, ...]]] = {
    "N": ("latitude", (1,)),
    "S": ("latitude", (-1,)),
    "E": ("longitude", (1,)),
    "W": ("longitude", (-1,)),
    # East in German (Ost) and Dutch (oost), west in French, Spanish, Italian and Portuguese.
    "O": ("longitude", (1, -1)),
}


def tokens_of(text: str) -> list[Token]:
    """The marks of a text with plain signs. PlaceError names the first character that is none."""
    tokens: list[Token] = []
    at = 0
    while at < len(text):
        match = _TOKENS.match(text, at)
        if match is None or match.lastgroup is None:
            raise PlaceError(
                say(
                    "{text}: {sign} does not belong in coordinates. Type latitude, then longitude, such as 51.5074, "
                    "-0.1278.",
                    text=repr(text),
                    sign=repr(text[at]),
                )
            )
        at = match.end()
        if match.lastgroup != "space":
            tokens.append(Token(match.lastgroup, match[0]))
    return _seconds_in_lower_case(tokens)


def _seconds_in_lower_case(tokens: list[Token]) -> list[Token]:
    """In 51d 30m 12s the s counts seconds, not south: it follows a number that follows minutes written with m."""
    mended = list(tokens)
    for i in range(2, len(tokens)):
        before = tokens[i - 2]
        if (
            tokens[i] == Token("side", "s")
            and tokens[i - 1].kind == "number"
            and before == Token("minute", "m")
        ):
            mended[i] = Token("second", "s")
    return mended


def read_coordinate(tokens: list[Token]) -> Coordinate | None:
    """The coordinate these marks make, or None where they make none."""
    axis, signs, rest = _sides(tokens)
    if rest is None:
        return None
    parts = _parts(rest)
    if parts is None:
        return None
    first = parts[0]
    signed = first[0] in "+-"
    parts[0] = first.lstrip("+-")
    if axis and signs and not signed and len(parts) == 1:
        parts = _unpacked(parts[0], axis)
    if any("." in part for part in parts[:-1]) or not all(_is_sixtieth(part) for part in parts[1:]):
        return None
    size = sum((Fraction(part) / 60**i for i, part in enumerate(parts)), Fraction(0))
    decimals = len(parts[-1].partition(".")[2])
    unit = Fraction(1, 10**decimals * 60 ** (len(parts) - 1))
    typed_sign = -1 if first.startswith("-") else 1
    if signed and signs and (typed_sign, signs) != (1, (1,)):
        # A sign and a letter together: "-81 W" may mean 81 W written twice, or minus 81 W, which is 81 E.
        factors: tuple[int, ...] = (1, -1)
    else:
        factors = signs or (typed_sign,)
    # float() of the signed fraction rounds once, so 51.5074 reads as 51.5074; "-0" stays 0.
    return Coordinate(axis, tuple(float(f * size) for f in factors), float(unit), tuple(parts), signed)


def _sides(tokens: list[Token]) -> tuple[str | None, tuple[int, ...], list[Token] | None]:
    """Axis and sign by letter or label; the rest is None where two of them fight."""
    rest = list(tokens)
    axis: str | None = None
    if rest and rest[0].kind == "label":
        axis = "latitude" if rest[0].text.lower().startswith("lat") else "longitude"
        rest = rest[1:]
    letters = []
    if rest and rest[0].kind == "side":
        letters.append(rest[0])
        rest = rest[1:]
        rest = rest[1:] if rest and rest[0].kind == "colon" else rest
    if rest and rest[-1].kind == "side":
        letters.append(rest[-1])
        rest = rest[:-1]
    if len(letters) > 1:
        return None, (), None
    if not letters:
        return axis, (), rest
    by_letter, signs = _SIDES[letters[0].text[0].upper()]
    if axis is not None and axis != by_letter:
        return None, (), None
    return by_letter, signs, rest


def _parts(tokens: list[Token]) -> list[str] | None:
    """The numbers in order, or None where a mark is out of place or a sign stands on minutes."""
    marks = (("degree", "colon"), ("minute", "colon"), ("second",))
    numbers: list[str] = []
    marked = False
    for token in tokens:
        if token.kind == "number":
            if len(numbers) == 3 or (numbers and token.text[0] in "+-"):
                return None
            numbers.append(token.text)
            marked = False
        elif numbers and not marked and token.kind in marks[len(numbers) - 1]:
            marked = True
        else:
            return None
    ends_in_colon = bool(tokens) and tokens[-1].kind == "colon"
    return None if not numbers or ends_in_colon else numbers


def _is_sixtieth(part: str) -> bool:
    """Minutes and seconds have one or two digits before the point and stay under 60."""
    return len(part.partition(".")[0]) <= 2 and float(part) < 60


def _unpacked(number: str, axis: str) -> list[str]:
    """5130N and 0021530W, degrees and minutes written together: told from degrees by their number of digits."""
    whole, point, decimals = number.partition(".")
    degrees = 2 if axis == "latitude" else 3
    if len(whole) not in (degrees + 2, degrees + 4):
        return [number]
    pieces = [whole[:degrees], *(whole[i : i + 2] for i in range(degrees, len(whole), 2))]
    pieces[-1] += point + decimals
    return pieces

"""Measurements as people type them: `3,5 4 4`, `4-5 n=3`, `(3-)4-5(-6)`; decimal comma and decimal point.

What can be read in two ways is refused with both readings shown; nothing is guessed.
"""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass

from ledger.traits.units import accepted, factor_to, number_text, with_unit
from ledger.words import say


class TypedError(ValueError):
    """Text that is not one clear measurement; `readings` holds the ways it could be read, if there are two."""

    def __init__(self, message: str, readings: tuple[str, ...] = ()) -> None:
        super().__init__(message)
        self.readings = readings


@dataclass(frozen=True, slots=True)
class Measure:
    """What was typed, in `unit`: either `values`, or `low` and `high` with extremes and n where given.

    `written_unit` is the unit in the text when it was another one, so that the screen can show the conversion.
    """

    unit: str
    values: tuple[float, ...] = ()
    low_extreme: float | None = None
    low: float | None = None
    high: float | None = None
    high_extreme: float | None = None
    n: int | None = None
    written_unit: str | None = None

    def bounds(self, compared: str | None) -> tuple[float, float] | None:
        """Low and high to keep as a reading: with the extremes where single pieces are compared, else without."""
        if self.low is None or self.high is None:
            return None
        if compared != "individual":
            return self.low, self.high
        low = self.low if self.low_extreme is None else self.low_extreme
        return low, self.high if self.high_extreme is None else self.high_extreme


_NUMBER = r"\d+(?:[.,]\d+)?|[.,]\d+"
_N = re.compile(r"[,;]?\s*\(?\bn\s*=?\s*(\d{1,6})\s*\)?\s*$", re.IGNORECASE)
_UNIT = re.compile(r"(?<=[\d)\s])((?:1/|/|(?:per|je)\s+)?(?:[a-zA-Zµμ]+)|\")\.?\s*$")
_RANGE = re.compile(
    rf"(?:\(\s*({_NUMBER})\s*-\s*\)\s*)?({_NUMBER})\s*-\s*({_NUMBER})(?:\s*\(\s*-\s*({_NUMBER})\s*\))?"
)
_LIST = re.compile(rf"(?:{_NUMBER})(?:(?:\s*;\s*|\s*,\s+|\s+)(?:{_NUMBER}))*")
_LETTER_FOR_FIGURE = re.compile(
    r"(?<![^\W_])(?:[\d.,]*\d[.,]?[oOlI]|[oOlI][.,]?\d)[\d.,oOlI]*(?![^\W_])", re.ASCII
)
# What may be typed for a measure of that unit: one number, several, a range.
_LENGTHS = ("35", "30 35 45", "30-45 n=3")
_SUCH_AS = {"1/mm": ("4", "4 5 4", "3-5 n=10"), "um": ("8.5", "8 8.5 9.5", "8-10 n=20")}
_TO_FIGURES = str.maketrans("oOlI", "0011")
_DASHES = str.maketrans({"–": "-", "—": "-", "−": "-", "‐": "-", "‑": "-", "\u00a0": " ", "\u202f": " "})


def parse_measure(text: str, unit: str) -> Measure:
    """Read typed text for a trait measured in `unit`; a unit at the end (3.5 cm) is converted and told.

    >>> parse_measure("3,5 4 4", "1/mm").values
    (3.5, 4.0, 4.0)
    """
    if len(text) > 500:
        raise TypedError(say("more than 500 characters is no measurement; type the numbers only"))
    rest = text.translate(_DASHES).strip()
    n_match = _N.search(rest)
    n = int(n_match.group(1)) if n_match else None
    rest = rest[: n_match.start()].strip() if n_match else rest
    if n == 0:
        raise TypedError(say("n = 0 means nothing was measured; leave the box empty then"))
    _refuse_letter_for_figure(rest)
    rest, factor, written = _take_unit(rest, unit)
    if not rest:
        one, _, span = _SUCH_AS.get(unit, _LENGTHS)
        raise TypedError(
            say("no number was typed; type one or several, such as {one} or {span}", one=one, span=span)
        )
    _refuse_two_readings(rest)
    made = _read_range(rest, unit, factor, n, written) or _read_list(rest, unit, factor, n, written)
    if made is None:
        one, several, span = _SUCH_AS.get(unit, _LENGTHS)
        raise TypedError(
            say(
                "{text} is not read as numbers; type {one}, or {several}, or {span}",
                text=repr(text.strip()),
                one=one,
                several=several,
                span=span,
            )
        )
    return made


def _refuse_letter_for_figure(rest: str) -> None:
    """`5o` is mostly 50 on a small keyboard; it is asked about and not mended."""
    match = _LETTER_FOR_FIGURE.search(rest)
    if match is None:
        return
    letter = re.sub(r"[\d.,]", "", match[0])[0]
    meant = match[0].translate(_TO_FIGURES)
    raise TypedError(
        say(
            "{typed} has the letter {letter} in a number; type {meant} if that is meant",
            typed=match[0],
            letter=letter,
            meant=meant,
        )
    )


def _take_unit(rest: str, unit: str) -> tuple[str, float, str | None]:
    match = _UNIT.search(rest)
    if not match:
        return rest, 1.0, None
    factor = factor_to(unit, match.group(1))
    if factor is None:
        raise TypedError(
            say(
                "unit {unit} is not known here; use {units}",
                unit=repr(match.group(1)),
                units=", ".join(accepted(unit)),
            )
        )
    written = None if factor == 1.0 else match.group(1)
    return rest[: match.start()].strip(), factor, written


def _refuse_two_readings(rest: str) -> None:
    """Refuse the texts that two honest readers would take for different numbers."""
    for token in re.split(r"[\s;()-]+", rest):
        if re.fullmatch(r"\d{1,3},\d{3}", token):
            ways = (token.replace(",", "."), token.replace(",", ""))
            raise TypedError(
                say(
                    "{typed} can be {one} or {other}; type it without the comma",
                    typed=token,
                    one=ways[0],
                    other=ways[1],
                ),
                ways,
            )
        if re.fullmatch(r"\d{1,3}\.\d{3},\d+", token):
            ways = (token.replace(".", "").replace(",", "."), token.replace(",", " "))
            raise TypedError(
                say(
                    "{typed} can be {one} or {other}; type one separator only",
                    typed=token,
                    one=ways[0],
                    other=ways[1],
                ),
                ways,
            )
        if re.fullmatch(r"\d+(?:,\d+){2,}", token):
            parts = token.split(",")
            pairs = [".".join(parts[i : i + 2]) for i in range(0, len(parts), 2)]
            ways = (" ".join(parts), " ".join(pairs))
            raise TypedError(
                say(
                    "{typed} can be {one} or {other}; put spaces between the numbers",
                    typed=token,
                    one=ways[0],
                    other=ways[1],
                ),
                ways,
            )
    tokens = re.split(r"[\s;()-]+", rest)
    comma = next((token for token in tokens if re.fullmatch(r"\d+,\d+", token)), None)
    if comma is not None and any(re.search(r"\d\.\d", token) for token in tokens):
        ways = (rest.replace(comma, comma.replace(",", ".")), rest.replace(comma, comma.replace(",", " ")))
        raise TypedError(
            say(
                "{typed} has a decimal point and a comma: {comma} can be {point} or two numbers; type one kind of "
                "decimal sign",
                typed=rest,
                comma=comma,
                point=comma.replace(",", "."),
            ),
            ways,
        )
    if re.fullmatch(rf"(?:{_NUMBER})(?:\s*-\s*(?:{_NUMBER})){{2}}", rest):
        low, middle, high = (part.strip() for part in rest.split("-"))
        ways = (f"{low} {middle} {high}", f"{low}-{high}")
        message = say(
            "{typed} can be three values ({values}) or a range with its mean ({range}); type one of them",
            typed=rest,
            values=ways[0],
            range=ways[1],
        )
        raise TypedError(message, ways)


def _read_range(rest: str, unit: str, factor: float, n: int | None, written: str | None) -> Measure | None:
    match = _RANGE.fullmatch(rest)
    if not match:
        return None
    low_extreme, low, high, high_extreme = (_number(part, factor) for part in match.groups())
    given = [bound for bound in (low_extreme, low, high, high_extreme) if bound is not None]
    if any(a > b for a, b in itertools.pairwise(given)):
        shown = with_unit(" ".join(number_text(bound) for bound in given), unit)
        raise TypedError(say("the bounds must rise, they read {bounds}; swap them", bounds=shown))
    return Measure(unit, (), low_extreme, low, high, high_extreme, n, written)


def _read_list(rest: str, unit: str, factor: float, n: int | None, written: str | None) -> Measure | None:
    if "." in rest:  # the point is the decimal sign here, so a comma can only part numbers: 3.5,4
        rest = re.sub(r"(?<=\d),(?=\d)", " ", rest)
    if not _LIST.fullmatch(rest):
        return None
    values = tuple(_number(part, factor) or 0.0 for part in re.findall(_NUMBER, rest))
    if n is not None and len(values) == 1:
        return Measure(unit, (), None, values[0], values[0], None, n, written)
    if n is not None and n != len(values):
        raise TypedError(
            say(
                "n = {n}, but {many} numbers were typed; correct one of them",
                n=n,
                many=len(values),
            )
        )
    return Measure(unit, values, written_unit=written)


def _number(text: str | None, factor: float) -> float | None:
    if text is None:
        return None
    number = float(text.replace(",", "."))
    if factor != 1.0:
        number *= factor
    if not math.isfinite(number) or number > 1e9:
        raise TypedError(say("{typed} is too large to be a measurement", typed=text[:20]))
    if number <= 0:
        raise TypedError(say("0 is no measurement; if it is not there at all, choose that instead"))
    return number

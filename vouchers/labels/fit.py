"""Texts into their columns: how many lines they take, in which type a label fits, which word is too wide.

This is an estimate from the widths of the letters, good to about a line; it saves drawing every label in
every size. The drawing then tells where each label really ends, and that has the last word (pdf.py).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple, TypeAlias

from ledger.paper import glyphs
from ledger.paper.text import Pieces
from vouchers.labels.sizes import LabelSize, Step

# Pieces, each with True as third where it must not part at the end of a line.
Runs: TypeAlias = tuple[tuple[str, bool, bool], ...]

_POINT_MM = 25.4 / 72
_CAPITAL_EM = (
    0.714  # height of the capitals of Noto Serif: typst counts a line from their top to the baseline
)
# The whites and rules of packet.typ and slip.typ that do not depend on the text, and the least of the code.
_PACKET_WHITE_MM = 3.55
_SLIP_WHITE_MM = 3.5
# Before the accepted name, and before the earlier one.
_SECOND_NAME_MM = 1.7
_NAME_LEADING_EM = 0.45

_NUMBER = r"\d[\d.,]*(?:[–-]\d[\d.,]*)?"
_UNIT = r"(?: (?:mm|cm|m|km|µm|(?:per|je) mm)\b)"
_MONTH = "Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec"
# In each language of the ledger, since a label is printed in the club's: `14 Oct 2026`, `14. Okt. 2026`.
_DAY = rf"\d{{1,2}} (?:{_MONTH}) \d{{4}}|\d{{1,2}}\. \w{{3,9}}\.? \d{{4}}"
_UNPARTED = re.compile(
    rf"{_DAY}"
    r"|\(n = [\d, ]+\)"
    r"|(?:altitude|Höhe) [−-]?\d[\d.,]* m\b"
    rf"|{_NUMBER}(?: ?× ?{_NUMBER})+{_UNIT}?"
    rf"|\d[\d.,]*[–-]\d[\d.,]*{_UNIT}?"
    r"|\d[\d.,]* (?:mm|cm|m|km|µm|(?:per|je) mm|°C|%)(?!\w)"
    r"|± ?[\d.,]+ ?k?m\b"
)
_BREAK_AFTER = ("-", "–", "—", "/")
_OPPORTUNITY = re.compile(r"[^\s\-–—/]*(?:[\-–—/]+|\s+|$)")
# Of the line at its head a number may take so much; what is left is for the institution, on more lines if need be.
_NUMBER_SHARE = 0.7
# Kinds of few words, which have no head of their own: their number stands by the code.
_SMALL = ("tag", "tube")
_DET: Runs = (("det. ", True, False),)
_SPACE: Runs = ((" ", False, False),)
# Small capitals with their tracking are at least so much wider than the same text in lower case.
_CAPS_LEAST = 1.12
# What a small capital takes of the width of a capital, at most, and the white after each sign: measured on drawn heads.
_SMALL_CAPITAL, _TRACKING_EM = 0.84, 0.06
# A name's authority goes to the next line whole while it is short.
_SHORT_AUTHORITY = 32


@dataclass(frozen=True, slots=True)
class Texts:
    """What a label prints, cleaned and cut into runs; the words of the margin beside the ruled lines."""

    number: str
    head: str
    name: Runs
    authority: Runs
    determination: Runs
    lines: tuple[tuple[str, Runs], ...]
    accepted: Runs = ()
    earlier: Runs = ()
    foot: str = ""


def runs(pieces: Pieces) -> Runs:
    """The pieces, cut so that a range, or a number with its unit, is a run of its own that stays whole."""
    made: list[tuple[str, bool, bool]] = []
    for text, italic in pieces:
        at = 0
        for found in _UNPARTED.finditer(text):
            if found.start() > at:
                made.append((text[at : found.start()], italic, False))
            made.append((found[0], italic, True))
            at = found.end()
        if at < len(text):
            made.append((text[at:], italic, False))
    return tuple(made)


def authority_runs(text: str) -> Runs:
    """The authority, in one piece while it is short."""
    return ((text, False, len(text) <= _SHORT_AUTHORITY),) if text else ()


def line_count(room_mm: float, *texts: tuple[Runs, float]) -> int:
    """Lines that the texts, each with its points, take one after the other in a column of that width."""
    measured = [(_measured(text), points * _POINT_MM) for text, points in texts if text]
    if sum(widths.whole * scale for widths, scale in measured) <= room_mm:
        return 1 if any(widths.words for widths, _ in measured) else 0
    count, used = 0, 0.0
    for widths, scale in measured:
        for width, width_with_space in widths.words:
            if count == 0 or (used and used + width * scale > room_mm):
                count, used = count + 1, 0.0
            used += width_with_space * scale
    return count


def too_wide(texts: Texts, size: LabelSize, step: Step) -> str | None:
    """The first line that holds a word wider than its column (a word is never broken), or None."""
    if _number_too_wide(texts.number, size):
        return "Number"
    for word, text, points, room in _columns(texts, size, step):
        if text and _measured(text).widest * points * _POINT_MM > room:
            return word
    return None


def _columns(texts: Texts, size: LabelSize, step: Step) -> list[tuple[str, Runs, float, float]]:
    """Each line's word, its text, its points and the width of its column."""
    # Tags and tube labels have no margin and no line above the code's column.
    head_mm = size.name_mm if size.kind in _SMALL else _head_mm(texts.number, size)
    columns: list[tuple[str, Runs, float, float]] = [
        ("Institution", ((texts.head.upper(), False, False),), 8.0, head_mm),
        ("Name", texts.name, step.name_pt, size.name_mm),
        ("Name", texts.authority, step.text_pt, size.name_mm),
        ("Name", texts.accepted, step.text_pt, size.name_mm),
        ("Det.", texts.determination, step.text_pt, size.name_mm),
        ("Earlier", texts.earlier, 8.0, size.name_mm),
    ]
    return columns + [(word, text, step.text_pt, _line_mm(size)) for word, text in texts.lines]


def _line_mm(size: LabelSize) -> float:
    return size.name_mm if size.kind in _SMALL else size.line_mm


def heights_mm(texts: Texts, size: LabelSize, step: Step) -> dict[str, float]:
    """About how tall each line of the label is, by its word; the name with its authority."""
    found = {"Name": _name_height(texts, size, step)}
    det = ((_DET, 8.0), (texts.determination, step.text_pt)) if texts.determination else ()
    found["Det."] = _height(line_count(size.name_mm, *det), step.text_pt, step.leading_em)
    found["Earlier"] = _second_name(texts.earlier, size, 8.0, 0.4)
    for word, text in texts.lines:
        height = _height(line_count(_line_mm(size), (text, step.text_pt)), step.text_pt, step.leading_em)
        found[word] = height + _mm(2 * step.row_em + 0.06, step.text_pt)
    return found


def _name_height(texts: Texts, size: LabelSize, step: Step) -> float:
    name = (texts.name, step.name_pt)
    lines = line_count(size.name_mm, name, (_SPACE, step.name_pt), (texts.authority, step.text_pt))
    of_name = line_count(size.name_mm, name)
    capitals = _mm(_CAPITAL_EM, step.name_pt) * of_name + _mm(_CAPITAL_EM, step.text_pt) * (lines - of_name)
    whole = capitals + _mm(_NAME_LEADING_EM, step.name_pt) * max(0, lines - 1)
    return whole + _second_name(texts.accepted, size, step.text_pt, step.leading_em)


def _second_name(text: Runs, size: LabelSize, points: float, leading_em: float) -> float:
    if not text:
        return 0.0
    return _SECOND_NAME_MM + _height(line_count(size.name_mm, (text, points)), points, leading_em)


def height_mm(texts: Texts, size: LabelSize, step: Step) -> float:
    """About how tall the whole label is, without edge and foot."""
    heights = heights_mm(texts, size, step)
    beside_code = sum(heights.pop(word) for word in ("Name", "Det.", "Earlier"))
    if size.code_mm:
        beside_code = max(beside_code + 4.6, size.code_mm + 3.2)
    head = _height(_head_lines(texts, size), 8, 0.5)
    white = _PACKET_WHITE_MM if size.code_mm else _SLIP_WHITE_MM + _mm(2 * step.row_em, step.text_pt)
    return head + white + beside_code + sum(heights.values())


def first_step(texts: Texts, size: LabelSize) -> int:
    """The largest type in which the label seems to fit; else the smallest. The small ones are drawn to see."""
    if size.kind in _SMALL:
        return 0
    return _step_from(0, texts, size, size.room_mm)


def next_step(texts: Texts, size: LabelSize, step: int, over_mm: float) -> int:
    """The next smaller type to try for a label that was drawn in `step` and ended too low by `over_mm`."""
    if size.kind in _SMALL:
        return step + 1
    estimate = height_mm(texts, size, size.steps[step])
    error = size.room_mm + over_mm - estimate
    return _step_from(step + 1, texts, size, size.room_mm - error)


def _step_from(start: int, texts: Texts, size: LabelSize, room_mm: float) -> int:
    for at, step in enumerate(size.steps[start:], start):
        if height_mm(texts, size, step) <= room_mm and too_wide(texts, size, step) is None:
            return at
    return len(size.steps) - 1


def on_one_line(candidates: Sequence[str], room_mm: float) -> str:
    """The first text that takes one line of 8 pt in that width; else the last."""
    fits = (text for text in candidates if _mm(glyphs.width_em(text), 8) <= room_mm)
    return next(fits, candidates[-1])


def head_on_one_line(candidates: Sequence[str], number: str, size: LabelSize) -> str:
    """The first head that stands on one line beside the number; else the last."""
    room_mm = _head_mm(number, size)
    return next((text for text in candidates if _mm(_small_caps_em(text), 8) <= room_mm), candidates[-1])


def _small_caps_em(text: str) -> float:
    """At most how wide a head is: its lower case is drawn as small capitals."""
    widths = (glyphs.width_em(sign.upper()) * (_SMALL_CAPITAL if sign.islower() else 1) for sign in text)
    return sum(widths) + _TRACKING_EM * len(text)


def _head_mm(number: str, size: LabelSize) -> float:
    return size.inner_mm - _mm(glyphs.width_em(number, bold=True), size.number_pt) - 3


def _head_lines(texts: Texts, size: LabelSize) -> int:
    # The drawing puts right a guess that is too low, but not one that is too high.
    head: Runs = ((texts.head, False, False),)
    return max(1, line_count(_head_mm(texts.number, size), (head, 8 * _CAPS_LEAST)))


def _number_too_wide(number: str, size: LabelSize) -> bool:
    # It parts at its spaces only, and beside the head of a label not even there.
    widest = max(number.split(" "), key=lambda word: glyphs.width_em(word, bold=True))
    if size.kind in _SMALL:
        column_mm = size.code_column_mm if size.kind == "tag" else size.name_mm
        return _mm(glyphs.width_em(widest, bold=True), size.number_pt) > column_mm
    whole = _mm(glyphs.width_em(number, bold=True), size.number_pt)
    under_code = _mm(glyphs.width_em(widest), 8.0)
    return whole > _NUMBER_SHARE * size.inner_mm or bool(size.code_mm and under_code > size.code_column_mm)


class _Widths(NamedTuple):
    """Widths of a text in ems: each part that cannot be broken, without and with the space after it; the widest of
    them; and all on one line with the space at its end."""

    words: tuple[tuple[float, float], ...]
    widest: float
    whole: float


@lru_cache(maxsize=256)  # one label is measured in several sizes, one after the other
def _measured(text: Runs) -> _Widths:
    made: list[tuple[float, float]] = []
    width = 0.0
    for words, italic, whole in text:
        for part in [words] if whole else _OPPORTUNITY.findall(words):
            bare = part.rstrip()
            width += glyphs.width_em(bare, italic=italic)
            if bare != part or (not whole and bare[-1:] in _BREAK_AFTER):
                made.append((width, width + glyphs.width_em(part[len(bare) :])))
                width = 0.0
    if width:
        made.append((width, width))
    return _Widths(
        tuple(made), max((bare for bare, _ in made), default=0.0), sum(spaced for _, spaced in made)
    )


def _height(lines: int, points: float, leading_em: float) -> float:
    return _mm(lines * _CAPITAL_EM + max(0, lines - 1) * leading_em, points)


def _mm(ems: float, points: float) -> float:
    return ems * points * _POINT_MM

"""Why a label was not printed, in a sentence that says which line is at fault and what to shorten."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.paper import glyphs
from vouchers.labels import fit
from vouchers.labels.sizes import LabelSize

_QUOTED = 60
# What to shorten where a line is too long, by its word in the margin.
_FIELDS = {
    "Institution": "the institution in the club's settings",
    "Name": "the name or its author",
    "Det.": "the grounds of the determination or its determiner's name",
    "Place": "the locality",
    "At": "the altitude or the position",
    "Near": "the trees nearby",
    "On": "the host",
    "Coll.": "the collector's name",
    "Permission": "the permission",
    "Cut": "what was cut",
    "For": "what it was cut for",
    "By": "who cut it",
    "Leave": "the leave",
    "Result": "the result of the cut",
    "In": "the names of the places it stands in",
    "Holds": "the capacity",
    "Number": "the number",
}
# The same on a tag, the label of a place or a tube, which have no taxon and no collector.
_ON_SMALL = {"Name": "the name in large type", "Coll.": "the collecting number or its finder's name"}


@dataclass(frozen=True, slots=True)
class Refusal:
    """A label that was not printed: its number, the line at fault, and a sentence saying why."""

    accession_number: str
    line: str
    sentence: str


def unknown_signs(texts: fit.Texts) -> Refusal | None:
    """The first line with signs that no print font has, or None."""
    columns = [
        ("Number", texts.number),
        ("Institution", texts.head),
        ("Name", _joined(texts.name) + _joined(texts.authority) + _joined(texts.accepted)),
        ("Det.", _joined(texts.determination) + _joined(texts.earlier)),
    ]
    columns += [(word, _joined(text)) for word, text in texts.lines]
    columns.append(("Coll.", texts.foot))
    for word, text in columns:
        if unknown := glyphs.missing(text):
            number = glyphs.shown(texts.number)
            signs = ", ".join(f"{glyphs.shown(sign)} (U+{ord(sign):04X})" for sign in unknown)
            sentence = (
                f"{number} was not printed: its line {word} holds {signs}, which the print fonts cannot draw. "
                "Write it in other letters."
            )
            return Refusal(number, word, sentence)
    return None


def _joined(text: fit.Runs) -> str:
    return "".join(words for words, _, _ in text)


def too_wide(texts: fit.Texts, size: LabelSize, line: str) -> Refusal:
    """The line holds a word wider than its column."""
    sentence = (
        f"{texts.number} was not printed: its line {line} holds a word that is wider than its column on the "
        f"{_described(size)}. Shorten {_what_to_shorten(texts, size, line)}, or put a space into the word."
    )
    return Refusal(texts.number, line, sentence)


def too_tall(texts: fit.Texts, size: LabelSize, over_mm: float) -> Refusal:
    """The label ends that many millimetres below its foot, in the smallest type."""
    heights = fit.heights_mm(texts, size, size.steps[-1])
    line = max(heights, key=lambda word: heights[word])
    if size.kind == "tube":
        # Its number stays whole; what can give way is the second thread back to the gathering.
        line = "Coll." if texts.lines else "Number"
    sentence = (
        f"{texts.number} was not printed: its text is {over_mm:.1f} mm too tall for the {_described(size)}; "
        f"the longest line is {line}, about {heights[line]:.0f} mm. Shorten {_what_to_shorten(texts, size, line)}."
    )
    return Refusal(texts.number, line, sentence)


def _what_to_shorten(texts: fit.Texts, size: LabelSize, line: str) -> str:
    """The field behind a line; on a line of readings the longest of them in its own words."""
    if size.kind in ("tag", "tube") and line in _ON_SMALL:
        return _ON_SMALL[line]
    if line in _FIELDS:
        return _FIELDS[line]
    text = next((_joined(runs) for word, runs in texts.lines if word == line), "")
    longest = max(text.split("; "), key=len)
    if not longest:
        return "it"
    return f"the reading “{longest if len(longest) <= _QUOTED else longest[:_QUOTED].rstrip() + '…'}”"


def _described(size: LabelSize) -> str:
    return (
        f"{size.called} of {size.width_mm:g} × {size.height_mm:g} mm in type of {size.steps[-1].text_pt:g} pt"
    )

"""Why a label was not printed, in a sentence that says which line is at fault and what to shorten."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.paper import glyphs
from ledger.words import english_of, kept_of, later, say, say_again
from vouchers.labels import fit
from vouchers.labels.content import line_word
from vouchers.labels.sizes import LabelSize

_QUOTED = 60
# Lines that have no word in the margin.
_OTHER_LINES = (later("Institution"), later("Name"), later("Det."), later("Earlier"), later("Number"))
# What to shorten where a line is too long, by its word in the margin.
_FIELDS = {
    "Institution": later("the institution in the club's settings"),
    "Name": later("the name or its author"),
    "Det.": later("the grounds of the determination or its determiner's name"),
    "Place": later("the locality"),
    "At": later("the altitude or the position"),
    "Near": later("the trees nearby"),
    "On": later("the host"),
    "Coll.": later("the collector's name"),
    "Permission": later("the permission"),
    "Cut": later("what was cut"),
    "For": later("what it was cut for"),
    "By": later("who cut it"),
    "Leave": later("the leave"),
    "Result": later("the result of the cut"),
    "In": later("the names of the places it stands in"),
    "Holds": later("the capacity"),
    "Number": later("the number"),
}
# The same on a tag, the label of a place or a tube, which have no taxon and no collector.
_ON_SMALL = {
    "Name": later("the name in large type"),
    "Coll.": later("the collecting number or its finder's name"),
}


@dataclass(frozen=True, slots=True)
class Refusal:
    """A label that was not printed: its number, the line at fault, and a sentence saying why.

    The sentence begins with the number.
    """

    accession_number: str
    line: str
    sentence: str


def of_all(alike: Sequence[Refusal]) -> str:
    """The sentence of refusals that differ in their numbers alone, for whoever reads it now: labels are prepared in the
    club's language."""
    first = alike[0]
    # A number is refused once for each kind of label that was asked of it.
    numbers = list(dict.fromkeys(one.accession_number for one in alike))
    if len(numbers) == 1:
        return say(first.sentence)
    each = say("Each of {numbers}", numbers=", ".join(numbers))
    kept = kept_of(first.sentence)
    if "number" not in kept.get("v", {}):
        return f"{each}{reason_of(first)}"
    return say_again(kept | {"v": kept["v"] | {"number": each.kept()}})


def reason_of(refusal: Refusal) -> str:
    """What the sentence says behind the number, in English: equal where the same holds for several."""
    return english_of(refusal.sentence).removeprefix(refusal.accession_number)


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
            sentence = say(
                "{number} was not printed: its line {line} holds {signs}, which the print fonts cannot draw. Write it in "
                "other letters.",
                number=number,
                line=line_word(word),
                signs=signs,
            )
            return Refusal(number, word, sentence)
    return None


def _joined(text: fit.Runs) -> str:
    return "".join(words for words, _, _ in text)


def too_wide(texts: fit.Texts, size: LabelSize, line: str) -> Refusal:
    """The line holds a word wider than its column."""
    sentence = say(
        "{number} was not printed: its line {line} holds a word that is wider than its column on the {label}. Shorten "
        "{what}, or put a space into the word.",
        number=texts.number,
        line=line_word(line),
        label=_described(size),
        what=_what_to_shorten(texts, size, line),
    )
    return Refusal(texts.number, line, sentence)


def too_tall(texts: fit.Texts, size: LabelSize, over_mm: float) -> Refusal:
    """The label ends that many millimetres below its foot, in the smallest type."""
    heights = fit.heights_mm(texts, size, size.steps[-1])
    line = max(heights, key=lambda word: heights[word])
    if size.kind == "tube":
        # Its number stays whole; what can give way is the second thread back to the gathering.
        line = "Coll." if texts.lines else "Number"
    sentence = say(
        "{number} was not printed: its text is {over} mm too tall for the {label}; the longest line is {line}, about "
        "{height} mm. Shorten {what}.",
        number=texts.number,
        over=f"{over_mm:.1f}",
        label=_described(size),
        line=line_word(line),
        height=f"{heights[line]:.0f}",
        what=_what_to_shorten(texts, size, line),
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
        return say("it")
    quoted = longest if len(longest) <= _QUOTED else longest[:_QUOTED].rstrip() + "…"
    return say("the reading “{reading}”", reading=quoted)


def _described(size: LabelSize) -> str:
    return say(
        "{label} of {width} × {height} mm in type of {points} pt",
        label=size.called,
        width=f"{size.width_mm:g}",
        height=f"{size.height_mm:g}",
        points=f"{size.steps[-1].text_pt:g}",
    )

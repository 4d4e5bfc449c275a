"""A label made ready for its template: its texts cut into runs, its code drawn, its first type; or why it cannot be."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, TypeAlias

from ledger.paper import barcode
from ledger.paper.text import CAUTION, PaperError, clean
from ledger.words import later, say
from vouchers.labels import content, fit, refusals
from vouchers.labels.annotation import AnnotationSlip
from vouchers.labels.content import DeterminationSlip, PacketLabel
from vouchers.labels.refusals import Refusal
from vouchers.labels.sizes import Kind, LabelSize
from vouchers.labels.tags import Tag, TubeLabel

Label: TypeAlias = PacketLabel | DeterminationSlip | AnnotationSlip | Tag | TubeLabel
# What a label says, line by line: the word of the line and its text.
Lines: TypeAlias = tuple[tuple[str, str], ...]

VALUES_OF: dict[Kind, type[Label]] = {
    "packet": PacketLabel,
    "slip": DeterminationSlip,
    "annotation": AnnotationSlip,
    "tag": Tag,
    "tube": TubeLabel,
}
_SLIP = later("Determination")
_CUT = later("Annotation")
# Room of the word "Coll." at the foot of a slip.
_COLL_MM = 8.0


@dataclass(slots=True)
class Ready:
    """A label on its way: its texts, the data for the template, the type size tried now."""

    texts: fit.Texts
    data: dict[str, Any]
    step: int

    def leave_off_the_earlier_name(self, size: LabelSize) -> None:
        """Print without the name the packet bore before, in the largest type that then fits."""
        self.texts = replace(self.texts, earlier=())
        self.data["earlier"] = ()
        self.step = fit.first_step(self.texts, size)

    def lines(self) -> Lines:
        """What is printed of it, line by line."""
        texts = self.texts
        name = " ".join(filter(None, (_joined(texts.name), _joined(texts.authority))))
        made = (
            ("Number", texts.number),
            ("Head", texts.head),
            ("Name", name),
            ("Accepted", _joined(texts.accepted)),
            ("Det.", _joined(texts.determination)),
            ("Earlier", _joined(texts.earlier)),
            *((word, _joined(text)) for word, text in texts.lines),
            ("Foot", texts.foot),
            ("Code", self.data.get("code", "")),
        )
        return tuple((word, text) for word, text in made if text)


def prepared(label: Label, size: LabelSize) -> Ready | Refusal:
    """The label ready for its template, or why it cannot be printed."""
    texts = _texts(label, size)
    if refusal := refusals.unknown_signs(texts):
        return refusal
    line = fit.too_wide(texts, size, size.steps[-1])
    if line == "Earlier":
        texts = replace(texts, earlier=())
        line = fit.too_wide(texts, size, size.steps[-1])
    if line:
        return refusals.too_wide(texts, size, line)
    data: dict[str, Any] = {
        "number": texts.number,
        "institution": "" if isinstance(label, TubeLabel) else clean(label.institution),
        "heading": texts.head,
        "name": texts.name,
        "authority": texts.authority,
        "accepted": texts.accepted,
        "determination": texts.determination,
        "earlier": texts.earlier,
        "lines": [{"word": content.line_word(word), "pieces": pieces} for word, pieces in texts.lines],
        "gathering": texts.foot,
        "coll": f"{say('Coll.')} ",
        "caution": say(CAUTION) if isinstance(label, PacketLabel) else "",
    }
    if code := _code(label):
        drawn = _drawn_code(code, texts.number, size)
        if isinstance(drawn, Refusal):
            return drawn
        data |= drawn
    return Ready(texts, data, fit.first_step(texts, size))


def _code(label: Label) -> str:
    """What the code holds; empty where there is none."""
    if isinstance(label, PacketLabel):
        return clean(label.code) or clean(label.accession_number)
    return clean(label.number) if isinstance(label, Tag | TubeLabel) else ""


def _drawn_code(code: str, number: str, size: LabelSize) -> dict[str, Any] | Refusal:
    """The code as the template reads it: its text, its drawing, its side in millimetres."""
    try:
        svg = barcode.qr_svg(code)
    except PaperError as error:
        sentence = say(
            "{number} was not printed: {why}. Shorten what the code holds.", number=number, why=error.args[0]
        )
        return Refusal(number, "Code", sentence)
    side = barcode.side_modules(svg) * size.module_mm or size.code_mm
    if side > size.code_mm:
        sentence = say(
            "{number} was not printed: its text of {signs} characters makes the code larger than the {label}. Shorten what "
            "the code holds.",
            number=number,
            signs=len(code),
            label=size.called,
        )
        return Refusal(number, "Code", sentence)
    return {"svg": svg, "code": code, "alt": say("Code holding {code}", code=code), "side": side}


def _texts(label: Label, size: LabelSize) -> fit.Texts:
    if isinstance(label, Tag):
        return fit.Texts(
            number=clean(label.number),
            head=clean(label.institution),
            name=fit.runs(content.cleaned(label.title)),
            authority=(),
            determination=(),
            lines=tuple((line.word, fit.runs(line.pieces)) for line in label.told()),
        )
    if isinstance(label, TubeLabel):
        coll = clean(label.collecting_number)
        return fit.Texts(
            number=clean(label.accession_number),
            head="",
            name=((clean(label.suffix), False, True),),
            authority=(),
            determination=(),
            lines=((later("Coll."), ((coll, False, False),)),) if coll else (),
        )
    number = clean(label.accession_number)
    lines = tuple((line.word, fit.runs(line.pieces)) for line in label.lines())
    if isinstance(label, AnnotationSlip):
        return fit.Texts(
            number=number,
            head=_slip_head(str(_CUT), clean(label.institution), number, size),
            name=fit.runs(content.cleaned(label.name)),
            authority=fit.authority_runs(clean(label.authority)),
            determination=fit.runs(content.who_when(label.determined_by, label.determined_on)),
            lines=lines,
            foot=_on_the_foot(label, size),
        )
    slip = isinstance(label, DeterminationSlip)
    return fit.Texts(
        number=number,
        head=_slip_head(str(_SLIP), clean(label.institution), number, size) if slip else _packet_head(label),
        name=fit.runs(content.heading(label)),
        authority=fit.authority_runs(clean(label.authority)),
        accepted=fit.runs(content.accepted(label)),
        determination=fit.runs(content.determination(label)),
        earlier=fit.runs(content.earlier(label)),
        lines=lines,
        foot=_on_the_foot(label, size) if isinstance(label, DeterminationSlip) else "",
    )


def _packet_head(label: PacketLabel | DeterminationSlip) -> str:
    what = clean(label.what) if isinstance(label, PacketLabel) else ""
    return " · ".join(filter(None, (what, clean(label.institution))))


def _slip_head(what: str, institution: str, number: str, size: LabelSize) -> str:
    # A slip has one line for its head: a long institution gives way, as the number names it too.
    heads = [" · ".join(filter(None, (what, institution))), institution or what, what]
    return fit.head_on_one_line(heads, number, size)


def _on_the_foot(slip: DeterminationSlip | AnnotationSlip, size: LabelSize) -> str:
    whole = content.plain_text(content.gathering(slip))
    room_mm = size.inner_mm - _COLL_MM
    return fit.on_one_line([whole, clean(slip.collecting_number)], room_mm)


def _joined(text: fit.Runs) -> str:
    return "".join(words for words, _, _ in text)

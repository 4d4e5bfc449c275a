"""A file that was asked for, as its page and its progress say it."""

from dataclasses import dataclass
from typing import Any

from ledger.forays.models import Foray
from ledger.handing_on.choices import KINDS, STATUS_WORDS, WHICH, Choices
from ledger.handing_on.models import Handing
from ledger.taxa.models import Taxon


@dataclass(frozen=True, slots=True)
class ShownHanding:
    row: Handing
    kind: str
    of: str  # what was chosen, in words
    state: str


def shown(handing: Handing) -> ShownHanding:
    choices = Choices.from_json(handing.kind, handing.choices)
    return ShownHanding(handing, KINDS[handing.kind], chosen_words(choices), said(handing))


def chosen_words(choices: Choices) -> str:
    """`finds that nothing holds, 2024 to 2026, with notes`."""
    words = [WHICH[choices.which]]
    if choices.year_from is not None and choices.year_to is not None:
        words.append(f"{choices.year_from} to {choices.year_to}")
    elif choices.year_from is not None:
        words.append(f"from {choices.year_from} on")
    elif choices.year_to is not None:
        words.append(f"up to {choices.year_to}")
    if choices.foray is not None:
        words.append(f"foray {Foray.objects.filter(pk=choices.foray).first() or 'unknown'}")
    if choices.taxon:
        taxon = Taxon.objects.filter(slug=choices.taxon).first()
        words.append(f"named {taxon.name if taxon else choices.taxon}")
    words += [f"with {what}" for what in ("notes", "photos", "permits") if getattr(choices, what)]
    if choices.status_word != next(iter(STATUS_WORDS)):
        words.append(f"as {choices.status_word}")
    return ", ".join(words)


def said(handing: Handing) -> str:
    """How far it has come, in a sentence."""
    if handing.finished_at is not None:
        return f"{_number(handing.done)} finds, {_size(handing.byte_size)}, whole."
    if handing.trouble:
        return handing.trouble
    if handing.begun_at is None:
        return f"{_number(handing.total)} finds. Not downloaded yet."
    return f"{_number(handing.done)} of {_number(handing.total)} finds, {_size(handing.byte_size)} so far."


def state_of(handing: Handing) -> dict[str, Any]:
    """What the page's script asks for while the file comes."""
    return {
        "done": handing.done,
        "total": handing.total,
        "said": said(handing),
        "finished": handing.finished_at is not None,
        "broken": bool(handing.trouble),
        "sha256": handing.sha256,
    }


def _number(count: int) -> str:
    return f"{count:,}".replace(",", " ")


def _size(count: int) -> str:
    if count < 1_000_000:
        return f"{max(1, round(count / 1000)) if count else 0} kB"
    return f"{count / 1_000_000:.1f} MB"

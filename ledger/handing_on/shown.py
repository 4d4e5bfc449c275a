"""A file that was asked for, as its page and its progress say it."""

from dataclasses import dataclass
from typing import Any

from ledger.forays.models import Foray
from ledger.handing_on.choices import KINDS, STATUS_WORDS, WHICH, Choices
from ledger.handing_on.models import Handing
from ledger.taxa.models import Taxon
from ledger.words import later, say, say_n, together

_WITH = {"notes": later("with notes"), "photos": later("with photos"), "permits": later("with permits")}


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
    words: list[str] = [WHICH[choices.which]]
    if choices.year_from is not None and choices.year_to is not None:
        words.append(say("{first} to {last}", first=choices.year_from, last=choices.year_to))
    elif choices.year_from is not None:
        words.append(say("from {year} on", year=choices.year_from))
    elif choices.year_to is not None:
        words.append(say("up to {year}", year=choices.year_to))
    if choices.foray is not None:
        foray = Foray.objects.filter(pk=choices.foray).first()
        words.append(say("foray {foray}", foray=foray) if foray else say("foray unknown"))
    if choices.taxon:
        taxon = Taxon.objects.filter(slug=choices.taxon).first()
        words.append(say("named {name}", name=taxon.name if taxon else choices.taxon))
    words += [words_of for what, words_of in _WITH.items() if getattr(choices, what)]
    if choices.status_word != next(iter(STATUS_WORDS)):
        words.append(say("as {word}", word=choices.status_word))
    return together(words, ", ")


def said(handing: Handing) -> str:
    """How far it has come, in a sentence."""
    if handing.finished_at is not None:
        return say_n(
            "{number} find, {size}, whole.",
            "{number} finds, {size}, whole.",
            handing.done,
            number=_number(handing.done),
            size=_size(handing.byte_size),
        )
    if handing.trouble:
        return say(handing.trouble)
    if handing.begun_at is None and not handing.total:
        return say("No find is like this: the file would hold none. Make another with wider choices.")
    if handing.begun_at is None:
        return say_n(
            "{number} find. Not downloaded yet.",
            "{number} finds. Not downloaded yet.",
            handing.total,
            number=_number(handing.total),
        )
    return say(
        "{done} of {total} finds, {size} so far.",
        done=_number(handing.done),
        total=_number(handing.total),
        size=_size(handing.byte_size),
    )


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

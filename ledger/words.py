"""Sentences that come out in the language of whoever reads them. Pure: the catalogue is handed in by `use`.

The English sentence is the key under which its translation stands. What is kept on record is English, with the key and
the values beside it (`Said.kept`), so that it can be said again in another language (`say_again`).

    say("{n} vouchers stand in {place}.", n=3, place=place)
    say_n("{n} find", "{n} finds", n)
    LABEL = later("Cap width")

Placeholders are names in braces, as `str.format` has them; a sentence without values is taken as it stands. A value that
was itself said is said in the same language.
"""

from collections.abc import Callable, Hashable, Iterator, Mapping
from contextlib import closing, contextmanager
from contextvars import ContextVar
from typing import Any, TypeVar

Piece = TypeVar("Piece")
Gettext = Callable[[str], str]
Ngettext = Callable[[str, str, int], str]

_JSON = (str, int, float, bool, type(None))


def _as_it_is(message: str) -> str:
    return message


def _by_number(one: str, many: str, n: int) -> str:
    return one if n == 1 else many


_gettext: Gettext = _as_it_is
_ngettext: Ngettext = _by_number
_language: Callable[[], str | None] = str
_in_english: ContextVar[bool] = ContextVar("in_english", default=False)


def use(gettext: Gettext, ngettext: Ngettext, language: Callable[[], str | None] | None = None) -> None:
    """Take the catalogue from here on: the functions answer in the language that is active when they are called.
    `language` names that language; without it the one that names it now goes on doing so."""
    global _gettext, _ngettext, _language
    _gettext, _ngettext = gettext, ngettext
    _language = language or _language


def tongue() -> Hashable:
    """What is the same as long as the same words are said: whoever keeps texts that were said keeps them by this."""
    return None if _in_english.get() else (_gettext, _language())


def _is_read_in_english() -> bool:
    return _in_english.get() or (_language() or "en").startswith("en")


@contextmanager
def in_english() -> Iterator[None]:
    """What is said within is English, whoever asks: files that leave, and bodies that are hashed."""
    token = _in_english.set(True)
    try:
        yield
    finally:
        _in_english.reset(token)


@contextmanager
def one_reader() -> Iterator[None]:
    """Many sentences for whoever reads now, whose language does not change within: an English reader's need no catalogue."""
    if _is_read_in_english():
        with in_english():
            yield
    else:
        yield


def each_in_english(pieces: Iterator[Piece]) -> Iterator[Piece]:
    """The pieces of a file that leaves, each made in English, whatever is said between them."""
    with closing(pieces):  # type: ignore[type-var]
        while True:
            with in_english():
                try:
                    piece = next(pieces)
                except StopIteration:
                    return
            yield piece


class Said(str):
    """A sentence in the reader's language that knows its English one. To everything else it is its text.

    `english` is what is kept on record. The database's drivers write it by themselves (`ledger/stored_words.py`).
    """

    english: str
    _kept: dict[str, Any]

    def __new__(cls, text: str, english: str | None = None, kept: Mapping[str, Any] | None = None) -> "Said":
        said = super().__new__(cls, text)
        said.english = str.__str__(text) if english is None else english
        said._kept = {"m": said.english} if kept is None else dict(kept)
        return said

    def __getnewargs__(self) -> tuple[str, str, dict[str, Any]]:  # type: ignore[override]
        return str.__str__(self), self.english, self.kept()

    def kept(self) -> dict[str, Any]:
        """What `say_again` needs, in values that JSON has: `m` the English pattern, `v` its values, `p` and `n` where it
        counts, `t` and `s` where several stand together, `f` how its letters are changed."""
        kept = dict(self._kept)
        if "v" in kept:
            kept["v"] = {name: _json(value) for name, value in kept["v"].items()}
        if "t" in kept:
            kept["t"] = [_json(part) for part in kept["t"]]
        return kept


class Later(str):
    """English that is said in the reader's language whenever it is read: printed, put into a page or into a sentence.

    Compared, hashed, joined by `str.join` and written as JSON it is its English text; ask for `str(label)` there.
    """

    def __str__(self) -> str:
        return say(self.english)

    def __format__(self, form: str) -> str:
        return format(str(self), form)

    def __add__(self, other: str) -> str:
        return str(self) + str(other)

    def __radd__(self, other: str) -> str:
        return str(other) + str(self)

    def __mod__(self, values: Any) -> str:
        return str(str(self) % values)

    @property
    def english(self) -> str:
        return str.__str__(self)


def say(message: str, /, **values: object) -> Said:
    """The sentence in the reader's language."""
    if isinstance(message, Said):
        return say_again(message.kept())
    message = str.__str__(message)
    pattern = message if _in_english.get() else _gettext(message)
    kept: dict[str, Any] = {"m": message}
    if values:
        kept["v"] = values
    return _filled(message, pattern, values, kept)


def say_n(one: str, many: str, n: int, /, **values: object) -> Said:
    """The sentence of a count: `one` for one, `many` otherwise, as English counts; the catalogue knows how others do. The
    count is `{n}` where no other value of that name is given."""
    values.setdefault("n", n)
    english = _by_number(one, many, n)
    pattern = english if _in_english.get() else _ngettext(one, many, n)
    return _filled(english, pattern, values, {"m": one, "p": many, "n": n, "v": values})


def later(message: str, /) -> Later:
    """A word of a table, a label or a choice, which is made before anybody reads it."""
    return Later(message)


def together(parts: "list[str] | tuple[str, ...]", between: str = " ") -> Said:
    """Several sentences as one that can be kept and said again; for those that stand one after the other."""
    return Said(
        between.join(str(part) for part in parts),
        between.join(english_of(part) for part in parts),
        {"t": list(parts), "s": between},
    )


def lowered(word: str, /) -> Said:
    """A word within a sentence: in small letters where it is English, else as its language writes it there."""
    said = say(word)
    english = said.english.lower()
    # A word may be the same in both: "Institution" keeps its capital in German.
    text = english if _is_read_in_english() and str(said) == said.english else str(said)
    return Said(text, english, said.kept() | {"f": "lowered"})


def capital(text: str, /) -> Said:
    """The sentence with a capital at its beginning, which a value in its first place may lack."""
    english = english_of(text)
    kept = kept_of(text) or {"m": english}
    plain = str(text)
    return Said(plain[:1].upper() + plain[1:], english[:1].upper() + english[1:], kept | {"f": "capital"})


def english_of(text: str) -> str:
    """The text for the record: the English one where it is known to have another."""
    return text.english if isinstance(text, Said | Later) else text


def kept_of(text: str) -> dict[str, Any]:
    """What to keep beside the English text; empty where it was not said and cannot be said again."""
    if isinstance(text, Later):
        return {"m": text.english}
    return text.kept() if isinstance(text, Said) else {}


def say_again(kept: Mapping[str, Any] | None, otherwise: str = "") -> Said:
    """The sentence that was kept, in the language of whoever reads it now; `otherwise` where nothing was."""
    if not kept:
        return Said(otherwise)
    if "f" in kept:
        plain = {name: value for name, value in kept.items() if name != "f"}
        return _FORMS[kept["f"]](say_again(plain))
    if "t" in kept:
        return together([_again(part) for part in kept["t"]], kept.get("s", " "))
    values = {name: _again(value) for name, value in kept.get("v", {}).items()}
    if "p" in kept:
        return say_n(kept["m"], kept["p"], kept["n"], **values)
    return say(kept["m"], **values)


_FORMS: Mapping[str, Callable[[str], Said]] = {"lowered": lowered, "capital": capital}


def _filled(message: str, pattern: str, values: Mapping[str, object], kept: Mapping[str, Any]) -> Said:
    if not values:
        return Said(pattern, message, kept)
    english = message.format(**{name: _english(value) for name, value in values.items()})
    if _in_english.get():
        return Said(english, english, kept)
    try:
        return Said(pattern.format(**_grouped(values) if pattern != message else values), english, kept)
    except (KeyError, IndexError, ValueError):
        # A translation with a placeholder of its own: the reader gets the English sentence rather than none.
        return Said(english, english, kept)


class _Grouped(int):
    """A number whose thousands stand apart by a narrow space: a comma would be read as a decimal one."""

    def __format__(self, form: str) -> str:
        return super().__format__(form).replace(",", "\N{NARROW NO-BREAK SPACE}")


def _grouped(values: Mapping[str, object]) -> dict[str, object]:
    return {name: _Grouped(value) if type(value) is int else value for name, value in values.items()}


def sentence_of(refusal: Exception) -> str:
    """What an error says, as it was said: `str` of it no longer knows its English."""
    first = refusal.args[0] if refusal.args else ""
    return first if isinstance(first, Said) else str(refusal)


def _english(value: object) -> object:
    if isinstance(value, Exception):
        value = sentence_of(value)
    return english_of(value) if isinstance(value, str) else value


def _again(value: Any) -> Any:
    return say_again(value) if isinstance(value, Mapping) else value


def _json(value: Any) -> Any:
    if isinstance(value, Exception):
        value = sentence_of(value)
    if isinstance(value, Said | Later):
        return kept_of(value)
    # A mapping is what was made ready before.
    return value if isinstance(value, (*_JSON, dict)) else str(value)

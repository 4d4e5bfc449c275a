"""A pretended language, in which each sentence stands in brackets: what was said can be told from what was not."""

from collections.abc import Iterator
from contextlib import contextmanager

from ledger import words


def bracketed(text: str) -> str:
    return f"⟦{text}⟧"


@contextmanager
def in_brackets() -> Iterator[None]:
    """Within, whatever Python says stands in brackets."""
    before = words._gettext, words._ngettext
    words.use(bracketed, lambda one, many, n: bracketed(one if n == 1 else many))
    try:
        yield
    finally:
        words.use(*before)

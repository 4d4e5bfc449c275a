"""What a photo can show, and what follows from it: the one table of views.

Our own list (common practice of the trade, no source). A photo whose view nobody said has the code "".
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.words import later


@dataclass(frozen=True, slots=True)
class View:
    """One thing a photo can show.

    `words`: what a photo of it is called. `bench_rank`: on the bench the lowest comes first. `slip_word`: how a data slip
    asks for it; empty where it does not. `shows_no_place`: it may be seen of a find whose place is kept back.
    """

    code: str
    words: str
    bench_rank: int
    slip_word: str = ""
    shows_no_place: bool = True


# In the order the forms offer them.
VIEW_TABLE = (
    View("cap", later("cap from above"), 0, later("cap")),
    View("underside", later("underside"), 1, later("underside")),
    View("side", later("from the side"), 4, later("side")),
    View("cut", later("cut"), 2, later("cut")),
    View("margin", later("margin"), 3),
    View("place", later("place"), 6, later("wood"), shows_no_place=False),
    View("scale", later("scale"), 5),
)
VIEWS = tuple(view.code for view in VIEW_TABLE)
# A view that was not said is not among them: such a photo may show the gate of the wood.
SHOWING_NO_PLACE = frozenset(view.code for view in VIEW_TABLE if view.shows_no_place)
SLIP_WORDS = tuple(view.slip_word for view in VIEW_TABLE if view.slip_word)
_WORDS = {view.code: view.words for view in VIEW_TABLE}
_RANKS = {view.code: view.bench_rank for view in VIEW_TABLE}


def view_words(code: str) -> str:
    """What a photo shows, in words: "cap from above"; "view not said" where nobody has."""
    return _WORDS.get(code, later("view not said"))


def bench_rank(code: str) -> int:
    """The place of a photo among those of its find on the bench; one whose view was not said is among the last."""
    return _RANKS.get(code, max(_RANKS.values()))

"""What is refused around loans: one sentence or several, which say what was wrong, what was kept and what to do."""

from collections.abc import Sequence


class LoanRefused(ValueError):
    """Nothing was changed. `sentences` name what was wrong, one for each thing."""

    def __init__(self, sentences: Sequence[str] | str) -> None:
        self.sentences = (sentences,) if isinstance(sentences, str) else tuple(sentences)
        super().__init__(" ".join(self.sentences))


class LoanAsked(LoanRefused):
    """Nothing was changed yet: `sentences` are to be read first, and confirmed by who lends all the same."""

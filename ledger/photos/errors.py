"""The one error of this room."""

_OF_THE_FILE = frozenset({"empty", "too big", "not a photo", "too many pixels", "damaged"})


class PhotoRefused(ValueError):
    """A file that cannot be kept as a photo.

    ``str(error)`` is the sentence for the member: what was wrong with the numbers, what was kept, what to do.
    ``reason`` is a short code for tests and logs, such as ``empty``, ``too big``, ``not a photo``, ``too many pixels``
    or ``damaged``.
    """

    def __init__(self, reason: str, sentence: str) -> None:
        super().__init__(sentence)
        self.reason = reason

    @property
    def is_for_good(self) -> bool:
        """Whether these bytes are refused whenever they come: it lies with the file, not with room or rights."""
        return self.reason in _OF_THE_FILE

"""What can be wrong with a place. One family, derived from ValueError."""


class PlaceError(ValueError):
    """A place that cannot be used as given. The message says what was wrong and what to do."""


class AmbiguousPlace(PlaceError):
    """A typed place with more than one reading. Nothing is guessed; `readings` holds each of them in words."""

    def __init__(self, message: str, readings: tuple[str, ...]) -> None:
        super().__init__(message)
        self.readings = readings

"""Forays that a file names, made where they are missing."""

from datetime import date

from ledger.forays.actions import keep_foray
from ledger.forays.models import Foray
from ledger.people.models import Member
from ledger.taking_in.report import Line
from ledger.words import say


class Forays:
    """Forays by name and day, made where they are missing; which were made is kept, to be undone."""

    def __init__(self, by: Member) -> None:
        self.by = by
        self.made: list[int] = []
        self._known = {(foray.name, foray.held_on): foray for foray in Foray.objects.all()}

    def named(self, name: str, on: date | None, line: Line) -> Foray | None:
        name = " ".join(name.split())
        if on is None:
            found = [
                foray for (known, _), foray in self._known.items() if known.casefold() == name.casefold()
            ]
            if len(found) == 1:
                return found[0]
            line.says.append(
                say("There is no one foray called “{name}”; the find is of none.", name=name[:60])
            )
            return None
        foray = self._known.get((name, on))
        if foray is None:
            foray = keep_foray(Foray(name=name[:120], held_on=on, leader=self.by))
            self._known[name, on] = foray
            self.made.append(foray.pk)
        return foray

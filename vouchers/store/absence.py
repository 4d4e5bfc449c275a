"""A time a part is out of the house, such as on loan. Pure."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Away:
    """`until` None: it is away still. `words` say where: "on loan to Kew, due 3 May 2027".

    `entered_at`: when the ledger was told, which may be later than `since`; None: at once.
    """

    since: datetime
    until: datetime | None
    words: str
    entered_at: datetime | None = None

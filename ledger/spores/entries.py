"""What the actions are given of measured spores, as plain values; form and payload both make these."""

from dataclasses import dataclass
from datetime import date

from ledger.spores.statistics import Pair


@dataclass(frozen=True, slots=True)
class SporesEntry:
    """Pairs in µm. ``mount`` and ``material`` are codes of SporeSet; None and empty mean "not given"."""

    pairs: tuple[Pair, ...]
    mount: str
    material: str
    typed: str = ""
    fruit_bodies: int | None = None
    magnification: int | None = None
    um_per_division: float | None = None
    resolution_um: float | None = None
    measured_on: date | None = None
    measured_by: str = ""
    note: str = ""

    @property
    def columns(self) -> dict[str, object]:
        """As a row of SporeSet holds them."""
        return {
            "pairs": [list(pair) for pair in self.pairs],
            "typed": self.typed,
            "mount": self.mount,
            "material": self.material,
            "fruit_bodies": self.fruit_bodies,
            "magnification": self.magnification,
            "um_per_division": self.um_per_division,
            "resolution_um": self.resolution_um,
            "measured_on": self.measured_on,
            "measured_by": self.measured_by,
            "note": self.note,
        }

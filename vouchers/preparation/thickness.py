"""A thick bracket among thin ones in one drying run. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from ledger.words import Said, say

# [judgement] Well above the others: twice their middle and at least a finger's breadth more. It decides nothing but
# whether a sentence is shown.
TIMES, MORE_MM = 2.0, 10.0


@dataclass(frozen=True, slots=True)
class Thick:
    """One thick bracket: who it is, how thick, and how thick the others are (thinnest, thickest). All in mm."""

    name: str
    thickness_mm: float
    others_low_mm: float
    others_high_mm: float

    @property
    def sentence(self) -> Said:
        low, high = f"{self.others_low_mm:g}", f"{self.others_high_mm:g}"
        return say(
            "{name} is {mm} mm thick, the others that were measured {others}. Feel whether it is dry all through before it "
            "comes out with them.",
            name=self.name,
            mm=f"{self.thickness_mm:g}",
            others=f"{low} mm" if low == high else say("{low} to {high} mm", low=low, high=high),
        )


def thickest_mm(values: Sequence[float], high: float | None) -> float | None:
    """The thickest that was measured of one find; None where nothing was."""
    return max([*values, *([] if high is None else [high])], default=None)


def thick_among(thickness_mm: Mapping[str, float]) -> list[Thick]:
    """Return those well above the others of the run, by name; those without a reading are not in it."""
    thick = []
    for name, own in thickness_mm.items():
        others = [mm for other, mm in thickness_mm.items() if other != name]
        if others and own >= TIMES * median(others) and own - median(others) >= MORE_MM:
            thick.append(Thick(name, own, min(others), max(others)))
    return thick

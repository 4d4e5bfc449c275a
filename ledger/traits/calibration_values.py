"""The measured numbers the check rests on: bands, error rates, weights. Made by `manage.py calibrate`, never typed in.

`traits[code]`:
  cases        leave-one-source-out cases the figures rest on
  error_rate   share of cases in which the right taxon comes out `outside`
  decisive     whether an `outside` of this trait rules a taxon out
  band95/98    numbers: factor (>= 1) beyond the outermost bound that covers 95 % / 98 % of the disagreements;
               months: whole months beyond the documented season; states: None
  spread       numbers: standard deviation of the natural logarithm by which sources differ
  interchange  states: P(one source prints the column's state | another prints the row's), smoothed
  background   states: how often each state is printed over all taxa
`scale` turns the summed decibans of the evidence into the weight that is shown, `doubtful_below_db` is the (scaled)
weight under which a taxon is `doubtful`. `tables` holds whatever else the evidence model needs, as plain JSON.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


class CalibrationError(ValueError):
    """The stored calibration cannot be used; the message says what is missing and how to make it anew."""


@dataclass(frozen=True, slots=True)
class TraitCalibration:
    """Measured figures of one trait; see the module."""

    cases: int = 0
    error_rate: float | None = None
    decisive: bool = False
    band95: float | None = None
    band98: float | None = None
    spread: float | None = None
    interchange: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    background: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> TraitCalibration:
        return cls(**{name: data[name] for name in cls.__dataclass_fields__ if name in data})

    def to_json(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in self.__dataclass_fields__}


@dataclass(frozen=True, slots=True)
class Calibration:
    """All measured figures, and the digest of the reference they were measured on."""

    traits: Mapping[str, TraitCalibration]
    scale: float
    doubtful_below_db: float
    reference_digest: str = ""
    tables: Mapping[str, Any] = field(default_factory=dict)

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Calibration:
        try:
            return cls(
                traits={code: TraitCalibration.from_json(row) for code, row in data["traits"].items()},
                scale=float(data["scale"]),
                doubtful_below_db=float(data["doubtful_below_db"]),
                reference_digest=data.get("reference_digest", ""),
                tables=data.get("tables", {}),
            )
        except (KeyError, TypeError, AttributeError) as error:
            raise CalibrationError(
                f"calibration is incomplete ({error}); run `manage.py calibrate` to make it anew"
            ) from error

    def to_json(self) -> dict[str, Any]:
        return {
            "traits": {code: row.to_json() for code, row in self.traits.items()},
            "scale": self.scale,
            "doubtful_below_db": self.doubtful_below_db,
            "reference_digest": self.reference_digest,
            "tables": self.tables,
        }

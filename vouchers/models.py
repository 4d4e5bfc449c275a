"""Contents page: one import line per room with tables."""

from vouchers.parts.models import Part
from vouchers.permits.models import Permit, PermitChange, PermitUse
from vouchers.preparation.models import DryingRun, PreparationStep
from vouchers.register.models import RegisterEntry, RegisterHead, RegisterYear, Voucher
from vouchers.stocktake.models import Settlement, Sighting, Stocktake
from vouchers.store.models import Move, PlaceMove, StorePlace

__all__ = [
    "DryingRun",
    "Move",
    "Part",
    "Permit",
    "PermitChange",
    "PermitUse",
    "PlaceMove",
    "PreparationStep",
    "RegisterEntry",
    "RegisterHead",
    "RegisterYear",
    "Settlement",
    "Sighting",
    "Stocktake",
    "StorePlace",
    "Voucher",
]

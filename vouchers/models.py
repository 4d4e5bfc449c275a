"""Contents page: one import line per room with tables."""

from vouchers.parts.models import Part
from vouchers.permits.models import Permit, PermitChange, PermitUse
from vouchers.preparation.models import DryingRun, PreparationStep
from vouchers.register.models import RegisterEntry, RegisterHead, RegisterYear, Voucher
from vouchers.store.models import StorePlace

__all__ = [
    "DryingRun",
    "Part",
    "Permit",
    "PermitChange",
    "PermitUse",
    "PreparationStep",
    "RegisterEntry",
    "RegisterHead",
    "RegisterYear",
    "StorePlace",
    "Voucher",
]

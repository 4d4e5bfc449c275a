"""Contents page: one import line per room with tables."""

from vouchers.exchange.models import Sending, SentDuplicate, ToldOfName
from vouchers.loans.models import (
    BorrowedItem,
    Borrowing,
    Condition,
    ConditionPhoto,
    Loan,
    LoanItem,
    Prolonging,
    SentReminder,
    SeriesYear,
)
from vouchers.parts.models import Part
from vouchers.permits.models import Permit, PermitChange, PermitUse
from vouchers.preparation.models import DryingRun, PreparationStep
from vouchers.printing.models import PrintedLabel
from vouchers.register.models import RegisterEntry, RegisterHead, RegisterYear, Voucher
from vouchers.sampling.models import SamplingLeave
from vouchers.stocktake.models import Settlement, Sighting, Stocktake
from vouchers.store.models import Move, PlaceMove, StorePlace

__all__ = [
    "BorrowedItem",
    "Borrowing",
    "Condition",
    "ConditionPhoto",
    "DryingRun",
    "Loan",
    "LoanItem",
    "Move",
    "Part",
    "Permit",
    "PermitChange",
    "PermitUse",
    "PlaceMove",
    "PreparationStep",
    "PrintedLabel",
    "Prolonging",
    "RegisterEntry",
    "RegisterHead",
    "RegisterYear",
    "SamplingLeave",
    "Sending",
    "SentDuplicate",
    "SentReminder",
    "SeriesYear",
    "Settlement",
    "Sighting",
    "Stocktake",
    "StorePlace",
    "ToldOfName",
    "Voucher",
]

"""Contents page: one import line per room with tables."""

from vouchers.parts.models import Part
from vouchers.register.models import RegisterEntry, RegisterHead, RegisterYear, Voucher
from vouchers.store.models import StorePlace

__all__ = ["Part", "RegisterEntry", "RegisterHead", "RegisterYear", "StorePlace", "Voucher"]

"""Contents page: one import line per room with tables."""

from vouchers.register.models import RegisterYear, Voucher

__all__ = ["RegisterYear", "Voucher"]

"""The page on which a shelf is walked. A phone keeps it whole: a store room has no signal."""

from ledger.phone.kept_pages import KeptPage, rendered


def walk_html() -> str:
    """The page as it is for everybody: no place, no number, no name."""
    return rendered("vouchers/stocktake/walk.html", here="stocktake-walk")


WALK = KeptPage("stocktake-walk", walk_html)

"""A static folder of a test's own; `tests/ledger/conftest.py` offers it as `write`."""

from collections.abc import Callable

Write = Callable[[str, str], None]

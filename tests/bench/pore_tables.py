"""Tables and figures of the report, as markdown."""

from collections.abc import Iterable, Sequence

import numpy as np


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def share(part: int, whole: int) -> str:
    return f"{100 * part / whole:.1f} %" if whole else "none"


def quantile(values: Sequence[float], q: float) -> float:
    """Of the sizes of the values, whichever their sign."""
    return float(np.quantile(np.abs(values), q)) if len(values) else float("nan")


def percent(value: float) -> str:
    return f"{100 * value:.1f} %"

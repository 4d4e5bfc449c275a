"""A box into which codes are scanned or typed, one on a line: from its text to parts."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from vouchers.parts.lookup import CodeRefused, part_of_code
from vouchers.parts.models import Part

MOST_CODES = 200
_BETWEEN = re.compile(r"[\n\r,;\t]+")


@dataclass(frozen=True, slots=True)
class ReadCodes:
    """The parts in the order of the box, each once, and a sentence for every line that names none."""

    parts: tuple[Part, ...]
    wrong: tuple[str, ...]


def lines_of(text: str) -> list[str]:
    """The codes of the box. The same line twice is one: a packet is soon scanned twice."""
    lines = (" ".join(line.split()) for line in _BETWEEN.split(text))
    return list(dict.fromkeys(line for line in lines if line))


def read_parts(lines: Iterable[str]) -> ReadCodes:
    """Look up each code. None is left out silently."""
    parts: dict[int, Part] = {}
    wrong = []
    for line in lines:
        try:
            part = part_of_code(line)
        except CodeRefused as refusal:
            wrong.append(str(refusal))
        else:
            parts.setdefault(part.pk, part)
    return ReadCodes(tuple(parts.values()), tuple(wrong))

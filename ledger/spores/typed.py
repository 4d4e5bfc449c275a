"""Raw spore measurements as people write them, to pairs of length and width in µm.

`9.5 x 4.2, 10 x 4`, one pair a line, decimal point or decimal comma, or columns out of a table with or without a header, a
running number, the quotient. What can be read in two ways is refused with both readings; nothing is guessed or mended.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ledger.spores.statistics import Pair
from ledger.words import say, say_n

MOST_SPORES = 200
MOST_LETTERS = 20_000
# A slip of ten (95 for 9.5) must get through, to be flagged by the check; beyond this it is no spore of anything.
_MOST_UM = 1_000.0
_TOLD = 5

# Where a decimal point stands anywhere, a comma can only stand between two numbers.
_WITH_POINT = r"\d+(?:\.\d+)?"
_WITH_COMMA = r"\d+(?:,\d+)?"
_UNIT = re.compile(r"(?<=[\d\s])(?:µm|μm|um|microns?|mcm)\b\.?", re.IGNORECASE)
_OTHER_UNIT = re.compile(r"(?<=[\d\s])(mm|cm|nm|inch)\b", re.IGNORECASE)
_SIGNS = str.maketrans(
    {
        "×": "x",
        "X": "x",
        "✕": "x",
        "⨯": "x",
        "х": "x",
        "*": "x",
        "–": "-",
        "—": "-",
        "−": "-",
        "\u00a0": " ",
        "\u202f": " ",
    }
)
_BETWEEN = re.compile(r"[\s,;/]*(?:\band\b)?[\s,;/]*")
_RUNNING = re.compile(r"^\s*\d{1,3}\s*[.):]\s+(?=\S)")
_SUMMARY = re.compile(r"\(\s*[\d.,]+\s*-\s*\)|[\d.,]+\s*-\s*[\d.,]+")
_HEADS = {
    "length": {
        "l",
        "length",
        "length_um",
        "len",
        "lengths",
        "spore_length",
        "long",
        "laenge",
        "länge",
        "lunghezza",
    },
    "width": {
        "w",
        "width",
        "width_um",
        "breadth",
        "b",
        "widths",
        "spore_width",
        "wide",
        "breite",
        "larghezza",
    },
}


class SporesError(ValueError):
    """Text that is not clear pairs; each of ``sentences`` names a line and says what was wrong and what to do."""

    def __init__(self, sentences: Sequence[str]) -> None:
        super().__init__(" ".join(sentences))
        self.sentences = tuple(sentences)


@dataclass(frozen=True, slots=True)
class Typed:
    """The pairs in the order they were typed, and what of the text was left out, in sentences."""

    pairs: tuple[Pair, ...]
    left_out: tuple[str, ...] = ()


def parse_spores(text: str) -> Typed:
    """Raises SporesError with up to five sentences.

    >>> parse_spores("9,5 x 4,2; 10 x 4").pairs
    ((9.5, 4.2), (10.0, 4.0))
    """
    if len(text) > MOST_LETTERS:
        raise SporesError(
            [
                say(
                    "The text has {n} letters; {most} are read. Paste the measurements alone.",
                    n=f"{len(text):,}",
                    most=f"{MOST_LETTERS:,}",
                )
            ]
        )
    lines = [
        (number, line.translate(_SIGNS))
        for number, line in enumerate(text.splitlines(), start=1)
        if line.strip()
    ]
    if not lines:
        raise SporesError(
            [say("No measurement was typed. Type one spore after the other, such as 9.5 x 4.2, 10 x 4.")]
        )
    if other := next((found[1] for _, line in lines if (found := _OTHER_UNIT.search(line))), None):
        raise SporesError(
            [say("Spores are kept in µm, the text says {unit}. Type the numbers in µm.", unit=other)]
        )
    lines = [(number, _UNIT.sub(" ", line)) for number, line in lines]
    number_form = _WITH_POINT if any(re.search(r"\d\.\d", line) for _, line in lines) else _WITH_COMMA
    pair_form = re.compile(rf"({number_form})\s*x\s*({number_form})", re.ASCII)
    has_pairs = any(pair_form.search(line) for _, line in lines)
    typed = _of_pairs(lines, pair_form) if has_pairs else _of_columns(lines, number_form)
    if len(typed.pairs) > MOST_SPORES:
        raise SporesError(
            [
                say(
                    "{n} spores were typed; {most} of one mount are kept together. Take them as two sets.",
                    n=len(typed.pairs),
                    most=MOST_SPORES,
                )
            ]
        )
    return typed


def _of_pairs(lines: Sequence[tuple[int, str]], pair_form: re.Pattern[str]) -> Typed:
    pairs: list[Pair] = []
    wrong: list[str] = []
    heads = 0
    for number, line in lines:
        rest, found = _RUNNING.sub("", line), []
        at = 0
        for match in pair_form.finditer(rest):
            if not _BETWEEN.fullmatch(rest[at : match.start()]):
                break
            found.append(match)
            at = match.end()
        left = rest[at:]
        if not _BETWEEN.fullmatch(left):
            if not found and not any(letter.isdigit() for letter in line):
                heads += 1  # a heading above the measurements
                continue
            wrong.append(_not_read(number, rest, left))
            continue
        for match in found:
            pair = (_value(match[1]), _value(match[2]))
            wrong += _impossible(number, pair)
            pairs.append(pair)
    return _typed(
        pairs, wrong, [say_n("{n} line without figures", "{n} lines without figures", heads)] if heads else []
    )


def _not_read(number: int, line: str, left: str) -> str:
    near = left.strip()[:30] or line.strip()[:30]
    if _SUMMARY.search(left) or "(" in left:
        return say(
            "Line {line}: “{typed}” is a range. Ranges are made here, of single spores; type each spore by itself.",
            line=number,
            typed=near,
        )
    if re.match(r"\s*,\s*\d", left) and re.search(r"\d\.\d", line):
        return say(
            "Line {line}: “{typed}” has a decimal point and a comma, which may be a decimal sign too. Type one kind of "
            "decimal sign.",
            line=number,
            typed=line.strip()[:40],
        )
    if "," in line and re.match(r"\s*x\s*\d", left):
        return say(
            "Line {line}: “{typed}” can be read in two ways, since a comma without a blank may be a decimal comma. Put a "
            "blank or a semicolon between two spores.",
            line=number,
            typed=line.strip()[:40],
        )
    return say(
        "Line {line}: “{typed}” is not length x width. Type a spore as 9.5 x 4.2.", line=number, typed=near
    )


def _of_columns(lines: Sequence[tuple[int, str]], number_form: str) -> Typed:
    """Two columns, with or without a header, a running number before and the quotient after them."""
    text = "\n".join(line for _, line in lines)
    sign = "\t" if "\t" in text else ";" if ";" in text else None
    has_point = number_form == _WITH_POINT
    first = _cells(lines[0][1], sign, has_point)
    has_header = not re.search(r"(?<![a-z_])\d", lines[0][1], re.IGNORECASE)
    rows: list[tuple[int, list[str]]] = []
    wrong = []
    for number, line in lines[has_header:]:
        cells = [cell for cell in _cells(line, sign, has_point) if cell]
        bad = next((cell for cell in cells if not re.fullmatch(number_form, cell)), None)
        if bad is not None:
            wrong.append(_not_read(number, line, bad))
        elif len(cells) == 1:
            wrong.append(_alone(number, cells[0]))
        elif len(cells) > 4:
            wrong.append(
                say(
                    "Line {line} has {n} numbers. Type one spore as 9.5 x 4.2, or length and width in two columns.",
                    line=number,
                    n=len(cells),
                )
            )
        else:
            rows.append((number, cells))
    if wrong:
        raise SporesError(wrong[:_TOLD])
    if not rows:
        raise SporesError(
            [say("There is no measurement in this. Type one spore after the other, such as 9.5 x 4.2.")]
        )
    widths = {len(cells) for _, cells in rows}
    if len(widths) > 1:
        odd = next(number for number, cells in rows if len(cells) != len(rows[0][1]))
        raise SporesError(
            [
                say(
                    "Line {line} has another number of columns than line {first}. Give each spore the same.",
                    line=odd,
                    first=rows[0][0],
                )
            ]
        )
    places, left_out = _places(first if has_header else [], rows, widths.pop())
    pairs = [(_value(cells[places[0]]), _value(cells[places[1]])) for _, cells in rows]
    for (number, _), pair in zip(rows, pairs, strict=True):
        wrong += _impossible(number, pair)
    return _typed(pairs, wrong, left_out)


def _cells(line: str, sign: str | None, has_point: bool) -> list[str]:
    if sign:
        return [cell.strip() for cell in line.strip().split(sign)]
    # Where numbers have a decimal point, a comma can only stand between them.
    return [cell for cell in re.split(r"[\s,]+" if has_point else r",?\s+", line.strip()) if cell]


def _places(
    header: Sequence[str], rows: Sequence[tuple[int, list[str]]], count: int
) -> tuple[tuple[int, int], list[str]]:
    """Which columns are length and width, and what was left out."""
    named = [_head(cell) for cell in header]
    if len(named) == count and {"length", "width"} <= set(named):
        left: list[str] = [
            say("the column {name}", name=cell) for cell, name in zip(header, named, strict=True) if not name
        ]
        return (named.index("length"), named.index("width")), left
    if count == 2:
        return (0, 1), []
    values = [[_value(cell) for cell in cells] for _, cells in rows]
    runs = (
        len(rows) > 1
        and all(row[0] == values[0][0] + step for step, row in enumerate(values))
        and values[0][0] in (0, 1)
    )
    if runs and count == 3 and not _is_quotient(values, 0):
        return (1, 2), [say("a running number before each spore")]
    if not runs and count == 3 and _is_quotient(values, 0):
        return (0, 1), [say("the quotient after each spore, which is made anew")]
    if runs and count == 4 and _is_quotient(values, 1):
        return (1, 2), [say("a running number before and the quotient after each spore")]
    raise SporesError(
        [
            say(
                "Each line has {n} numbers, and it is not certain which are length and width. Leave two, or write a header: "
                "length and width.",
                n=count,
            )
        ]
    )


def _head(cell: str) -> str:
    word = re.sub(r"[\[(].*", "", cell.casefold()).strip(" .:_")
    return next((name for name, words in _HEADS.items() if word in words), "")


def _is_quotient(rows: Sequence[Sequence[float]], first: int) -> bool:
    return all(
        row[first + 1] > 0 and abs(row[first] / row[first + 1] - row[first + 2]) <= 0.06 for row in rows
    )


def _alone(number: int, cell: str) -> str:
    if re.fullmatch(r"\d+,\d+", cell):
        whole, part = cell.split(",")
        return say(
            "Line {line}: {typed} can be {whole}.{part}, or {whole} long and {part} wide. Type {whole} x {part}, or both "
            "numbers of the spore.",
            line=number,
            typed=cell,
            whole=whole,
            part=part,
        )
    return say(
        "Line {line}: {typed} is one number. A spore has two, such as 9.5 x 4.2; a round one 5 x 5.",
        line=number,
        typed=cell,
    )


def _impossible(number: int, pair: Pair) -> list[str]:
    if min(pair) <= 0:
        return [
            say(
                "Line {line}: a spore of {length} x {width} µm has no size. Mend the figure, or leave the spore out.",
                line=number,
                length=f"{pair[0]:g}",
                width=f"{pair[1]:g}",
            )
        ]
    if max(pair) > _MOST_UM:
        return [
            say(
                "Line {line}: {typed} µm is no spore; up to {most} µm are taken. Mend the figure.",
                line=number,
                typed=f"{max(pair):g}",
                most=f"{_MOST_UM:g}",
            )
        ]
    return []


def _typed(pairs: Sequence[Pair], wrong: Sequence[str], left_out: Sequence[str]) -> Typed:
    if wrong:
        more = len(wrong) - _TOLD
        told = [*wrong[:_TOLD], *([say("{n} more lines are not read.", n=more)] if more > 0 else [])]
        raise SporesError(told)
    if not pairs:
        raise SporesError(
            [say("No measurement was found. Type one spore after the other, such as 9.5 x 4.2, 10 x 4.")]
        )
    return Typed(tuple(pairs), tuple(left_out))


def _value(text: str) -> float:
    return float(text.replace(",", "."))


def as_typed(pairs: Sequence[Pair]) -> str:
    """Pairs one a line, as they may be typed again."""
    return "\n".join(f"{length:g} x {width:g}" for length, width in pairs)

"""In which unit the values of a measured column are: that which its name tells, else that of the trait. Pure."""

import re
from collections.abc import Iterator, Mapping, Sequence

from ledger.taking_in import cells
from ledger.taking_in.columns import TRAIT, Mapped
from ledger.taking_in.grid import Grid
from ledger.traits.units import accepted, factor_to, number_text, with_unit
from ledger.traits.vocabulary import Trait
from ledger.words import say

# Longer ones first. Those of the last line measure no trait; a column that names one is not what it was chosen as.
_UNITS = (
    *("inches", "inch", "in", "microns", "micron", "mm", "cm", "dm", "nm", "um", "µm", "μm", "m"),
    *("km", "feet", "foot", "ft", "yd", "zoll", "kg", "mg", "ml", "g"),
)
_LAST_WORD = re.compile(
    rf"(?P<per>\b(?:per|je|pro)\s+|1?/\s*|\b)(?P<unit>{'|'.join(_UNITS)})$|(?P<joined>cm)$", re.IGNORECASE
)
_IN_BRACKETS = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
_NEW_CAPITAL = re.compile(r"(?<=[a-zäöüß])(?=[A-Zµμ][A-Za-z]*$)")


def unit_named(name: str) -> str:
    """The unit that the name of a column tells, within brackets or at its end; empty where it tells none.

    >>> [unit_named(name) for name in ("Hutbreite cm", "cap width (cm)", "width_cm", "Pores/mm", "Stamm")]
    ['cm', 'cm', 'cm', '1/mm', '']
    """
    within = [part for text in _IN_BRACKETS.findall(name) for part in re.split("[,;]", text)]
    for text in (*within, _IN_BRACKETS.sub(" ", name)):
        plain = _NEW_CAPITAL.sub(" ", text.replace("_", " ").strip(" .,:;"))
        found = _LAST_WORD.search(plain)
        # A capital by itself is an abbreviation, such as M for a mean.
        if found is None or found[0] in ("M", "G"):
            continue
        unit = (found["unit"] or found["joined"]).lower()
        return f"1/{'in' if unit.startswith('in') else unit}" if found["per"] else unit
    return ""


def other_units(
    columns: Mapping[int, str], header: Sequence[str], traits: Mapping[str, Trait]
) -> dict[str, str]:
    """By the code of a trait the unit that its column names, where it is another than the trait's and is read."""
    named = ((trait, unit) for _, trait, unit in _named(columns, header, traits))
    return {trait.code: unit for trait, unit in named if factor_to(trait.unit or "", unit) not in (None, 1.0)}


def strange_unit(columns: Mapping[int, str], header: Sequence[str], traits: Mapping[str, Trait]) -> str:
    """That a column names a unit in which its trait is not measured, in a sentence; empty where none does."""
    for place, trait, unit in _named(columns, header, traits):
        own = trait.unit or ""
        if factor_to(own, unit) is None:
            return say(
                "“{column}” is in {unit}, and {what} is not read in that. Nothing was written, and what you chose is kept. "
                "Leave the column out; or give the file with one of these units behind its name: {units}.",
                column=header[place][:60],
                unit=unit,
                what=say(trait.label),
                units=", ".join(accepted(own)),
            )
    return ""


def told_units(grid: Grid, mapped: Mapped, traits: Mapping[str, Trait]) -> list[str]:
    """For each column that is read in another unit than its trait's, that it is, with what becomes of its first number."""
    read = other_units(mapped.columns, grid.header, traits)
    return [
        _told(grid, mapped, place, trait, unit)
        for place, trait, unit in _named(mapped.columns, grid.header, traits)
        if trait.code in read
    ]


def _told(grid: Grid, mapped: Mapped, place: int, trait: Trait, unit: str) -> str:
    own = trait.unit or ""
    column = grid.header[place][:60]
    for text in (row.cells[place] for row in grid.rows if row.cells):
        try:
            value = cells.read_number(text, cells.mark_of(text, mapped.mark))
        except cells.CellError:
            continue
        if value:
            return say(
                "“{column}” is read in {unit} wherever a cell names no unit itself: {text} is {value}.",
                column=column,
                unit=unit,
                text=text,
                value=with_unit(number_text(value * (factor_to(own, unit) or 1.0)), own),
            )
    return say("“{column}” is read in {unit} wherever a cell names no unit itself.", column=column, unit=unit)


def _named(
    columns: Mapping[int, str], header: Sequence[str], traits: Mapping[str, Trait]
) -> Iterator[tuple[int, Trait, str]]:
    """Place, trait and unit of each measured column whose name tells a unit."""
    for place, code in sorted(columns.items()):
        trait = traits.get(code.removeprefix(TRAIT)) if code.startswith(TRAIT) else None
        if trait is None or trait.kind != "number" or place >= len(header):
            continue
        unit = unit_named(header[place])
        # “Pores mm” are those of a millimetre: nobody has them in millimetres.
        if unit and not (unit == "mm" and trait.unit == "1/mm"):
            yield place, trait, unit

"""Words for an outcome: what was compared with what, with the numbers and the source it rests on."""

from __future__ import annotations

from collections.abc import Iterable

from ledger.traits.documented import MONTH_NAMES, Documented, compile_rows, range_text, row_months
from ledger.traits.outcome import Seen, decide_number, decide_states, is_too_coarse
from ledger.traits.ranges import DocumentedRange, Source
from ledger.traits.reference import Reference
from ledger.traits.results import Measured
from ledger.traits.units import number_text, with_unit
from ledger.traits.vocabulary import Trait

_WANTED_SOURCES = 2


def measured(seen: Seen) -> Measured:
    """The reading as compared, in words and numbers."""
    trait = seen.trait
    if seen.states:
        codes = tuple(state.code for state in trait.states if state.code in seen.states)
        text = states_text(trait, seen.states)
        if seen.looked == "absent":
            text = f"looked, absent (that is: {text})"
        return Measured(text, states=codes)
    if seen.months:
        text = ", ".join(MONTH_NAMES[month - 1] for month in sorted(seen.months))
        return Measured(text, low=float(min(seen.months)), high=float(max(seen.months)), unit=trait.unit)
    numbers = seen.numbers
    if numbers is None or not seen.points:
        return Measured(f"looked, {seen.looked}" if seen.looked == "absent" else seen.looked)
    is_mean = trait.compared == "mean"
    expanded = numbers.expanded_mean if is_mean else numbers.expanded_single
    if is_mean:
        text = with_unit(f"{number_text(numbers.mean)} ± {_plus_minus(expanded)}", trait.unit)
    else:
        text = f"{range_text(numbers.low, numbers.high, trait.unit)} ± {_plus_minus(expanded)}"
    if numbers.n is not None and numbers.n > 1:
        text += f" ({'mean of ' if is_mean else ''}n = {numbers.n})"
    return Measured(text, numbers.low, numbers.high, numbers.mean, expanded, numbers.n, trait.unit)


def _plus_minus(expanded: float) -> str:
    return f"{float(f'{expanded:.2g}'):.15g}"


def states_text(trait: Trait, states: Iterable[str]) -> str:
    """Labels of the states in the order of the vocabulary."""
    wanted = frozenset(states)
    return " and ".join(state.label.lower() for state in trait.states if state.code in wanted)


def source_name(source: Source) -> str:
    """A source in a few words: the start of its citation, or how it is known."""
    if source.kind == "memory":
        return "a value from memory"
    if source.kind == "common practice":
        return "common practice"
    start = source.citation
    for sign in (" (", ":", ","):
        start = start.split(sign)[0]
    return start.strip()[:60] or source.id


def sources_text(reference: Reference, rows: Iterable[DocumentedRange]) -> str:
    """Two sources by name and the number of the others."""
    return names_text(dict.fromkeys(source_name(reference.sources[row.source_id]) for row in rows))


def dissent_text(reference: Reference, vouching: Iterable[DocumentedRange], dissenting: Iterable[str]) -> str:
    """Who does not allow what the vouching rows allow. A site that stands on both sides is told by its other pages."""
    sides = {source_name(reference.sources[row.source_id]) for row in vouching}
    names = dict.fromkeys(source_name(reference.sources[one]) for one in dissenting)
    return names_text(f"other pages of {name}" if name in sides else name for name in names)


def names_text(several: Iterable[str]) -> str:
    """Two names and the number of the others."""
    names = list(several)
    more = len(names) - _WANTED_SOURCES
    shown = " and ".join(names[:_WANTED_SOURCES]) if more <= 0 else ", ".join(names[:_WANTED_SOURCES])
    return shown if more <= 0 else f"{shown} and {more} more"


def decide_alone(seen: Seen, row: DocumentedRange) -> str:
    """The outcome if this row were all that is documented, with no allowance for disagreement."""
    if seen.states:
        return decide_states(seen.states, Documented((), (), (), good=row.states, allowed=row.states))
    if seen.months:
        months = row_months(row)
        return "within" if seen.months <= months else "edge" if seen.months & months else "outside"
    low = float("-inf") if row.lowest is None else row.lowest
    high = float("inf") if row.highest is None else row.highest
    known = Documented((), (), (), intervals=((low, high),), lowest=row.lowest, highest=row.highest)
    found = {decide_number(x, expanded, known, seen.trait.growth, 1.0) for x, expanded in seen.points}
    return next((word for word in ("outside", "edge", "cannot tell") if word in found), "within")


def why(reference: Reference, seen: Seen, known: Documented | None, outcome: str, band: float) -> str:
    """One or two sentences for the outcome of a reading that was compared, or could not be."""
    text = measured(seen).text
    if known is None:
        return f"{text}; no source of the reference documents this trait of the taxon."
    if not known.yes:
        return _no_row_judges(reference, seen, known)
    if outcome == "within":
        rows = tuple(row for row in known.yes if not row.doubtful and decide_alone(seen, row) == "within")
        # Bounds and names belong together: what those who are named give, not what others give beside them.
        said = compile_rows(seen.trait, rows, seen.state, seen.age).text if rows else known.text
        return f"{text}: within what is documented ({said}), by {sources_text(reference, rows or known.yes)}."
    if outcome == "outside":
        return f"{text}: beyond what is documented ({known.text}) by {_all(reference, known)}{_margin(seen, band)}."
    if outcome == "edge":
        return _edge(reference, seen, known, text)
    return _cannot_tell(reference, seen, known, text)


def _all(reference: Reference, known: Documented) -> str:
    return sources_text(reference, known.yes)


def _margin(seen: Seen, band: float) -> str:
    if seen.points and band > 1.0:
        return f", even after the factor {number_text(band)} by which such sources differ"
    if seen.months and band > 0.0:
        return f", even after the {number_text(band)} months by which such sources differ"
    return ""


def _edge(reference: Reference, seen: Seen, known: Documented, text: str) -> str:
    vouch = [row for row in known.yes if decide_alone(seen, row) == "within"]
    if vouch and all(row.doubtful for row in vouch):
        return f"{text}: allowed only by {sources_text(reference, vouch)}, a figure that is doubted."
    if seen.states:
        beyond = states_text(seen.trait, seen.states - known.allowed)
        if beyond:
            return (
                f"{text}: {beyond} is not documented, the rest is ({known.text}, {_all(reference, known)})."
            )
        return f"{text}: documented only by figures that are doubted ({_all(reference, known)})."
    if seen.points:
        if any(is_too_coarse(expanded, known) for _, expanded in seen.points):
            return (
                f"{text}: the measuring error is wider than the whole documented range ({known.text}), so "
                "nothing can be proven. Measure more pieces, or with a finer scale."
            )
        return (
            f"{text}: at the limit of what is documented ({known.text}, {_all(reference, known)}). It may be past it, "
            "but by no more than measuring can err and books differ."
        )
    return f"{text}: close to the documented months ({known.text}, {_all(reference, known)})."


def _cannot_tell(reference: Reference, seen: Seen, known: Documented, text: str) -> str:
    grows = seen.trait.growth and bool(seen.points)
    if grows and known.lowest is not None and seen.points[0][0] + seen.points[0][1] < known.lowest:
        low = with_unit(number_text(known.lowest), seen.trait.unit)
        return f"{text}: below {low} ({_all(reference, known)}), which a young one may be."
    conditions = sorted({row.condition for row in known.maybe})
    return (
        f"{text}: would suit what {sources_text(reference, known.maybe)} says of {' or '.join(conditions)} ones only, "
        "and the condition of this one was not noted or is mixed."
    )


def _no_row_judges(reference: Reference, seen: Seen, known: Documented) -> str:
    conditions = " or ".join(sorted({row.condition for row in known.rows}))
    if known.maybe:
        made = "was noted without its condition, or is mixed"
    else:
        made = f"was made {seen.state or 'in an unknown state'}"
        if seen.age is not None:
            made += f" ({seen.age})"
    reason = _drying(seen, known)
    return (
        f"Documented only for {conditions} ones ({known.text}, {sources_text(reference, known.rows)}), while this "
        f"reading ({measured(seen).text}) {made}{reason}. Nothing is converted."
    )


def _drying(seen: Seen, known: Documented) -> str:
    """Why a fresh figure cannot judge this one, for the traits that are known to change."""
    if all(row.condition != "fresh" for row in known.rows):
        return ""
    if seen.trait.drying_note:
        return f"; {seen.trait.drying_note}"
    if seen.trait.unit is not None:
        return "; fruit bodies shrink as they dry"
    return "; colours and textures change as they dry"

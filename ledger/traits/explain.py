"""Words for an outcome: what was compared with what, with the numbers and the source it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import reduce

from ledger.traits.documented import (
    Documented,
    any_of,
    compile_rows,
    months_text,
    range_text,
    row_months,
)
from ledger.traits.outcome import Seen, decide_number, decide_states, is_too_coarse
from ledger.traits.ranges import DocumentedRange, Source
from ledger.traits.reference import Reference
from ledger.traits.results import Measured
from ledger.traits.units import number_text, with_unit
from ledger.traits.vocabulary import Trait
from ledger.words import lowered, say, together

_WANTED_SOURCES = 2


def measured(seen: Seen) -> Measured:
    """The reading as compared, in words and numbers."""
    trait = seen.trait
    if seen.states:
        codes = tuple(state.code for state in trait.states if state.code in seen.states)
        text = states_text(trait, seen.states)
        if seen.looked == "absent":
            text = say("looked, absent (that is: {states})", states=text)
        return Measured(text, states=codes)
    if seen.months:
        text = months_text(seen.months)
        return Measured(text, low=float(min(seen.months)), high=float(max(seen.months)), unit=trait.unit)
    numbers = seen.numbers
    if numbers is None or not seen.points:
        return Measured(say("looked, absent") if seen.looked == "absent" else say(seen.looked))
    is_mean = trait.compared == "mean"
    expanded = numbers.expanded_mean if is_mean else numbers.expanded_single
    if is_mean:
        text = with_unit(f"{number_text(numbers.mean)} ± {_plus_minus(expanded)}", trait.unit)
    else:
        text = together([range_text(numbers.low, numbers.high, trait.unit), f"± {_plus_minus(expanded)}"])
    if numbers.n is not None and numbers.n > 1:
        text = together([text, say("(mean of n = {n})", n=numbers.n) if is_mean else f"(n = {numbers.n})"])
    return Measured(text, numbers.low, numbers.high, numbers.mean, expanded, numbers.n, trait.unit)


def _plus_minus(expanded: float) -> str:
    return f"{float(f'{expanded:.2g}'):.15g}"


def states_text(trait: Trait, states: Iterable[str]) -> str:
    """Labels of the states in the order of the vocabulary."""
    return all_of(_labels(trait, states))


def either_text(trait: Trait, states: Iterable[str]) -> str:
    """The same where one of them is enough."""
    return any_of(_labels(trait, states))


def _labels(trait: Trait, states: Iterable[str]) -> list[str]:
    wanted = frozenset(states)
    return [lowered(state.label) for state in trait.states if state.code in wanted]


def all_of(words: Sequence[str]) -> str:
    """`a and b and c`; nothing for none."""
    return reduce(lambda first, last: say("{first} and {last}", first=first, last=last), words or [""])


def source_name(source: Source) -> str:
    """A source in a few words: the start of its citation, or how it is known."""
    if source.kind == "memory":
        return say("a value from memory")
    if source.kind == "common practice":
        return say("common practice")
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
    return names_text(say("other pages of {name}", name=name) if name in sides else name for name in names)


def names_text(several: Iterable[str]) -> str:
    """Two names and the number of the others."""
    names = list(several)
    more = len(names) - _WANTED_SOURCES
    if more <= 0:
        return all_of(names)
    return say("{names} and {n} more", names=together(names[:_WANTED_SOURCES], ", "), n=more)


def decide_alone(seen: Seen, row: DocumentedRange) -> str:
    """The outcome if this row were all that is documented, with no allowance for disagreement."""
    if seen.states:
        known = Documented(seen.trait, (), (), (), good=row.states, allowed=row.states)
        return decide_states(seen.states, known)
    if seen.months:
        months = row_months(row)
        return "within" if seen.months <= months else "edge" if seen.months & months else "outside"
    low = float("-inf") if row.lowest is None else row.lowest
    high = float("inf") if row.highest is None else row.highest
    bounds = ((low, high),)
    known = Documented(seen.trait, (), (), (), intervals=bounds, lowest=row.lowest, highest=row.highest)
    found = {decide_number(x, expanded, known, seen.trait.growth, 1.0) for x, expanded in seen.points}
    return next((word for word in ("outside", "edge", "cannot tell") if word in found), "within")


def why(reference: Reference, seen: Seen, known: Documented | None, outcome: str, band: float) -> str:
    """One or two sentences for the outcome of a reading that was compared, or could not be."""
    text = measured(seen).text
    if known is None:
        return say("{measured}; no source of the reference documents this trait of the taxon.", measured=text)
    if not known.yes:
        return _no_row_judges(reference, seen, known)
    if outcome == "within":
        rows = tuple(row for row in known.yes if not row.doubtful and decide_alone(seen, row) == "within")
        return say(
            "{measured}: within what is documented ({documented}), by {sources}.",
            measured=text,
            # Bounds and names belong together: what those who are named give, not what others give beside them.
            documented=compile_rows(seen.trait, rows, seen.state, seen.age).text if rows else known.text,
            sources=sources_text(reference, rows or known.yes),
        )
    if outcome == "outside":
        return _outside(reference, seen, known, text, band)
    if outcome == "edge":
        return _edge(reference, seen, known, text)
    return _cannot_tell(reference, seen, known, text)


def _all(reference: Reference, known: Documented) -> str:
    return sources_text(reference, known.yes)


def _outside(reference: Reference, seen: Seen, known: Documented, text: str, band: float) -> str:
    told = {"measured": text, "documented": known.text, "sources": _all(reference, known)}
    if seen.points and band > 1.0:
        return say(
            "{measured}: beyond what is documented ({documented}) by {sources}, even after the factor {factor} by "
            "which such sources differ.",
            **told,
            factor=number_text(band),
        )
    if seen.months and band > 0.0:
        return say(
            "{measured}: beyond what is documented ({documented}) by {sources}, even after the {months} months by "
            "which such sources differ.",
            **told,
            months=number_text(band),
        )
    return say("{measured}: beyond what is documented ({documented}) by {sources}.", **told)


def _edge(reference: Reference, seen: Seen, known: Documented, text: str) -> str:
    vouch = [row for row in known.yes if decide_alone(seen, row) == "within"]
    if vouch and all(row.doubtful for row in vouch):
        return say(
            "{measured}: allowed only by {sources}, a figure that is doubted.",
            measured=text,
            sources=sources_text(reference, vouch),
        )
    told = {"measured": text, "documented": known.text, "sources": _all(reference, known)}
    if seen.states:
        beyond = states_text(seen.trait, seen.states - known.allowed)
        if beyond:
            return say(
                "{measured}: {beyond} is not documented, the rest is ({documented}, {sources}).",
                **told,
                beyond=beyond,
            )
        return say(
            "{measured}: documented only by figures that are doubted ({sources}).",
            measured=text,
            sources=told["sources"],
        )
    if seen.points:
        if any(is_too_coarse(expanded, known) for _, expanded in seen.points):
            return say(
                "{measured}: the measuring error is wider than the whole documented range ({documented}), so nothing "
                "can be proven. Measure more pieces, or with a finer scale.",
                measured=text,
                documented=known.text,
            )
        return say(
            "{measured}: at the limit of what is documented ({documented}, {sources}). It may be past it, but by no "
            "more than measuring can err and books differ.",
            **told,
        )
    return say("{measured}: close to the documented months ({documented}, {sources}).", **told)


def _cannot_tell(reference: Reference, seen: Seen, known: Documented, text: str) -> str:
    grows = seen.trait.growth and bool(seen.points)
    if grows and known.lowest is not None and seen.points[0][0] + seen.points[0][1] < known.lowest:
        return say(
            "{measured}: below {lowest} ({sources}), which a young one may be.",
            measured=text,
            lowest=with_unit(number_text(known.lowest), seen.trait.unit),
            sources=_all(reference, known),
        )
    return say(
        "{measured}: would suit what {sources} says of {conditions} ones only, and the condition of this one was not "
        "noted or is mixed.",
        measured=text,
        sources=sources_text(reference, known.maybe),
        conditions=_conditions(known.maybe),
    )


def _conditions(rows: Iterable[DocumentedRange]) -> str:
    return any_of([say(condition) for condition in sorted({row.condition for row in rows})])


def _no_row_judges(reference: Reference, seen: Seen, known: Documented) -> str:
    told: dict[str, object] = {
        "conditions": _conditions(known.rows),
        "documented": known.text,
        "sources": sources_text(reference, known.rows),
        "measured": measured(seen).text,
    }
    reason = _drying(seen, known)
    if known.maybe:
        if not reason:
            return say(
                "Documented only for {conditions} ones ({documented}, {sources}), while this reading ({measured}) was "
                "noted without its condition, or is mixed. Nothing is converted.",
                **told,
            )
        return say(
            "Documented only for {conditions} ones ({documented}, {sources}), while this reading ({measured}) was "
            "noted without its condition, or is mixed; {reason}. Nothing is converted.",
            **told,
            reason=reason,
        )
    told["made"] = _made_in(seen)
    if not reason:
        return say(
            "Documented only for {conditions} ones ({documented}, {sources}), while this reading ({measured}) was "
            "made {made}. Nothing is converted.",
            **told,
        )
    return say(
        "Documented only for {conditions} ones ({documented}, {sources}), while this reading ({measured}) was made "
        "{made}; {reason}. Nothing is converted.",
        **told,
        reason=reason,
    )


def _made_in(seen: Seen) -> str:
    """The condition of a reading, as it stands behind "was made"."""
    state = say(seen.state) if seen.state else say("in an unknown state")
    return together([state, together(["(", say(seen.age), ")"], "")]) if seen.age is not None else state


def _drying(seen: Seen, known: Documented) -> str:
    """Why a fresh figure cannot judge this one, for the traits that are known to change."""
    if all(row.condition != "fresh" for row in known.rows):
        return ""
    if seen.trait.drying_note:
        return say(seen.trait.drying_note)
    if seen.trait.unit is not None:
        return say("fruit bodies shrink as they dry")
    return say("colours and textures change as they dry")

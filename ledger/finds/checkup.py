"""A check result made ready for a screen: lines by trait with their range strips, and the look-alikes in two parts.

Used by the log form, by a find's page and by the bench. It chooses what is shown where; it judges nothing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from ledger.finds.assess import HOST, SEASON
from ledger.traits.check import check_specimen
from ledger.traits.lookalikes import clear_first
from ledger.traits.next_look import in_short
from ledger.traits.outcome import trait_calibration
from ledger.traits.readings import Reading, Specimen, estimate
from ledger.traits.reference import Reference
from ledger.traits.results import Candidate, CheckResult, NextLook, TraitOutcome
from ledger.traits.strip import Reach, Strip, range_text, strip_for
from ledger.traits.vocabulary import Trait
from ledger.words import later, lowered, say, say_n

LOOK_ALIKES_SHOWN = 6
STRIP_LOOK_ALIKES = 3
# A bracket in its paper bag dries in days. Three is our judgement: a foray's Saturday to the Tuesday after.
FRESH_FOR_DAYS = 3
_DRIED = frozenset({"air-dry", "oven-dry", "weathered"})
_SAID = {
    "fits": later(
        "Nothing speaks against it, and every decisive trait that is documented for it has been read."
    ),
    "doubtful": later("Taken together, the readings speak against it."),
    "ruled out": later("A decisive trait is wholly outside what is documented for it."),
}


@dataclass(frozen=True, slots=True)
class TraitLine:
    """One trait on a screen. `outcome` is None where no taxon is named: there is then nothing to compare with."""

    trait: Trait
    outcome: TraitOutcome | None
    strip: Strip | None
    documented: str
    sources: tuple[str, ...]
    decisive: bool

    @property
    def mark(self) -> str:
        return self.outcome.outcome if self.outcome else ""


@dataclass(frozen=True, slots=True)
class Checkup:
    """Everything a screen shows of one check."""

    result: CheckResult
    lines: Mapping[str, TraitLine]
    authority: str
    sentence: str
    # The same, where it was said before that nothing, or how much, speaks against the name.
    sentence_alone: str
    first: tuple[Candidate, ...]
    rest: tuple[Candidate, ...]
    next: NextLook | None
    next_trait: Trait | None
    next_says: str
    # The taxon that may be called the best fit; None while nothing stands out.
    clear_first: Candidate | None
    still_open: int
    taxa_in_reference: int
    read_count: int

    @property
    def read_lines(self) -> list[TraitLine]:
        """Lines of what was read, looked at or does not apply."""
        return [line for line in self.lines.values() if line.mark not in ("", "not read", "not applicable")]


def has_dried(found_on: date | None, today: date, *, state: str = "") -> bool:
    """Whether it cannot be looked at fresh any more: its state says so, or it was found too long ago. A day to come, or
    none, says nothing. The phone goes by the same rule (static/js/rules/dried.js)."""
    if state in _DRIED:
        return True
    return found_on is not None and (today - found_on).days > FRESH_FOR_DAYS


def check_up(reference: Reference, specimen: Specimen, *, has_dried: bool = False) -> Checkup:
    """Run the check and make it ready. A taxon the reference does not hold is ranked against all, as is none.

    `has_dried`: its readings were made in the state they name, but days have passed since. What drying destroys can no
    longer be looked at, so no next look asks for it.
    """
    result = check_specimen(reference, specimen)
    if has_dried:
        result = replace(result, next_look=tuple(look for look in result.next_look if not look.fresh_only))
    outcomes = {outcome.trait: outcome for outcome in result.traits}
    taxa = _strip_taxa(result)
    lines = {}
    for code, trait in reference.vocabulary.traits.items():
        outcome = outcomes.get(code)
        reading = specimen.readings.get(code)
        rows = outcome.documented if outcome else ()
        lines[code] = TraitLine(
            trait=trait,
            outcome=outcome,
            strip=strip_for(
                reference,
                code,
                taxa,
                reading=_reach(trait, reading),
                named=result.taxon,
                state=(reading.state if reading else None) or specimen.state,
                age=(reading.age if reading else None) or specimen.age,
            )
            if reading is not None and reading.looked == "read"
            else None,
            documented=_documented(trait, rows),
            sources=tuple(dict.fromkeys(row.source_id for row in rows)),
            decisive=trait_calibration(reference, code).decisive,
        )
    entry = reference.taxa.get(result.taxon or "")
    still_open = _still_open(result)
    looked = result.next_look[0] if result.next_look else None
    return Checkup(
        result=result,
        lines=lines,
        authority=entry.authority if entry else "",
        sentence=_sentence(reference, result),
        sentence_alone=_sentence(reference, result, alone=True),
        first=result.look_alikes[:LOOK_ALIKES_SHOWN],
        rest=result.look_alikes[LOOK_ALIKES_SHOWN:],
        next=looked,
        next_trait=reference.vocabulary.traits[looked.trait] if looked else None,
        next_says=in_short(looked, still_open=still_open, state=specimen.state) if looked else "",
        clear_first=clear_first(result.look_alikes),
        still_open=still_open,
        taxa_in_reference=len(reference.taxa),
        read_count=sum(1 for reading in specimen.readings.values() if _is_looked_at(reading)),
    )


def _is_looked_at(reading: Reading) -> bool:
    """Whether somebody looked at the fungus. Month and wood may come from the record alone, and rank nothing by it."""
    return reading.trait not in (SEASON, HOST) and reading.looked in ("read", "absent")


def _still_open(result: CheckResult) -> int:
    """Taxa that are not ruled out, the named one among them."""
    standings = [candidate.standing for candidate in result.look_alikes]
    if result.standing is not None:
        standings.append(result.standing)
    return sum(1 for standing in standings if standing != "ruled out")


def _strip_taxa(result: CheckResult) -> list[str]:
    """The named taxon and the look-alikes nearest to it."""
    nearest = [candidate.taxon for candidate in result.look_alikes[:STRIP_LOOK_ALIKES]]
    return [result.taxon, *nearest] if result.taxon else nearest


def _reach(trait: Trait, reading: Reading | None) -> Reach | None:
    """What of a reading is compared: its mean, or its smallest and largest; with the uncertainty that goes with it."""
    if reading is None or trait.kind != "number":
        return None
    made = estimate(reading, reading.resolution or trait.resolution or 0.0)
    if made is None:
        return None
    if trait.compared == "mean":
        return Reach(made.mean, made.mean, made.expanded_mean)
    return Reach(made.low, made.high, made.expanded_single)


def _documented(trait: Trait, rows: Sequence[object]) -> str:
    """What the sources say of it, in one line."""
    if not rows:
        return ""
    if trait.kind == "number":
        return range_text(rows)  # type: ignore[arg-type]
    if trait.kind == "months":
        return ""
    codes = {code for row in rows for code in row.states}  # type: ignore[attr-defined]
    return ", ".join(lowered(state.label) for state in trait.states if state.code in codes)


def _sentence(reference: Reference, result: CheckResult, *, alone: bool = False) -> str:
    """What the standing means here, in plain words, naming the traits."""
    if result.standing is None:
        return result.note
    labels = {code: lowered(trait.label) for code, trait in reference.vocabulary.traits.items()}
    against = [labels[o.trait] for o in result.traits if o.outcome == "outside"]
    if result.standing in ("ruled out", "doubtful"):
        named = [say("Outside: {traits}.", traits=", ".join(against))] if against else []
        return " ".join([say(_SAID[result.standing]), *named])
    if result.standing == "fits":
        return (
            say("Every decisive trait that is documented for it has been read.")
            if alone
            else say(_SAID["fits"])
        )
    missing = [labels.get(code, code) for code in result.missing]
    said = [] if alone else [say("Nothing speaks against it.")]
    if against:
        said = [say("Outside: {traits}.", traits=", ".join(against))]
    if not missing:
        said.append(say("Not enough has been looked at."))
    else:
        said.append(
            say_n(
                "One decisive trait is still unread: {traits}.",
                "{n} decisive traits are still unread: {traits}.",
                len(missing),
                traits=", ".join(missing),
            )
        )
    return " ".join(said)

"""The report of a calibration, as Markdown and as plain figures. Every number in it comes from the run."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Sequence
from typing import Any

from ledger.traits.calibration import (
    BINS,
    DECISIVE_CASES,
    DECISIVE_ERROR,
    DOUBTFUL,
    Run,
    TraitFigures,
    Verdict,
)
from ledger.traits.leads import DRAWS, PARTS, STEPS_DB, leads
from ledger.traits.learning import NO_SPECIMEN
from ledger.traits.leave_out import LEAST_TRAITS
from ledger.traits.lookalikes import LEAD_DB
from ledger.traits.trials import FOLDS, Trial, rank, share
from ledger.traits.vocabulary import Vocabulary

# What the check has to reach; shares of the cases.
FIRST, THREE, RULED_OUT = 0.72, 0.91, 0.01
SPORES = frozenset({"spore_length", "spore_width", "spore_print"})
# Pairs of taxa shown; the rest are counted.
SHOWN_PAIRS = 30


def figures(run: Run) -> dict[str, Any]:
    """The figures that matter, for the stored file and for programs. Shares are of the cases."""
    verdicts = run.verdicts
    return {
        "cases": len(verdicts),
        "taxa": len(run.taxa),
        "first": _round(share(v.place == 1 for v in verdicts)),
        "first_three": _round(share(v.place <= 3 for v in verdicts)),
        "ruled_out": _round(share(bool(v.ruled_out_by) for v in verdicts)),
        "doubtful": _round(share(v.doubtful for v in verdicts)),
        "not_ruled_out": _round(sum(v.left for v in verdicts) / len(verdicts)),
        "neither_ruled_out_nor_doubtful": _round(sum(v.in_question for v in verdicts) / len(verdicts)),
        "families_left_out": {
            "first": _round(share(rank(t.sums(), t.case.taxon) == 1 for t in run.strict)),
            "first_three": _round(share(rank(t.sums(), t.case.taxon) <= 3 for t in run.strict)),
        },
        "bins": [
            {"from": low, "to": high, "n": n, "stated": _round(stated), "observed": _round(seen)}
            for low, high, n, stated, seen in bins(verdicts)
        ],
        "worst_bin_in_standard_errors": _round(worst_bin(verdicts)),
        "lead": _lead_figures([verdict.trial for verdict in verdicts]),
    }


def _lead_figures(trials: Sequence[Trial]) -> dict[str, Any]:
    """How often a taxon stands out, and is then the right one: shares of whole descriptions and of parts of them."""
    found = leads(trials)
    told: dict[str, Any] = {"lead_db": LEAD_DB}
    for name, is_whole in (("whole", True), ("parts", False)):
        mine = [lead for lead in found if lead.is_whole == is_whole]
        clear = [lead for lead in mine if lead.ahead_db >= LEAD_DB]
        right = _round(share(lead.is_right for lead in clear)) if clear else None
        told[name] = {"rankings": len(mine), "clear": len(clear), "right": right}
    told["steps"] = []
    for low, high in zip(STEPS_DB, (*STEPS_DB[1:], math.inf), strict=True):
        inside = [lead for lead in found if low <= lead.ahead_db < high]
        right = _round(share(lead.is_right for lead in inside)) if inside else None
        told["steps"].append({"from_db": low, "rankings": len(inside), "right": right})
    return told


def targets(run: Run) -> list[tuple[str, float, str, float, bool]]:
    """What was asked, what came out, and whether it was reached."""
    found = figures(run)
    asked: list[tuple[str, str, str, float]] = [
        ("right taxon first", "first", "at least", FIRST),
        ("right taxon among the first three", "first_three", "at least", THREE),
        ("right taxon ruled out", "ruled_out", "at most", RULED_OUT),
        ("right taxon doubtful", "doubtful", "at most", DOUBTFUL),
    ]
    return [
        (words, found[key], way, limit, found[key] >= limit if way == "at least" else found[key] <= limit)
        for words, key, way, limit in asked
    ]


def bins(verdicts: Sequence[Verdict]) -> list[tuple[float, float, int, float, float]]:
    """Ten bins of the stated probability of every taxon in every case: bounds, how many, mean stated, share right."""
    groups: list[list[tuple[float, bool]]] = [[] for _ in range(BINS)]
    for verdict in verdicts:
        for taxon, stated in enumerate(verdict.probabilities):
            groups[min(int(stated * BINS), BINS - 1)].append((stated, taxon == verdict.trial.case.taxon))
    return [
        (
            index / BINS,
            (index + 1) / BINS,
            len(group),
            math.fsum(stated for stated, _ in group) / len(group),
            share(right for _, right in group),
        )
        for index, group in enumerate(groups)
        if group
    ]


def worst_bin(verdicts: Sequence[Verdict]) -> float:
    """The largest distance of observed from stated in a bin, in binomial standard errors of the stated rate."""
    return max(
        abs(seen - stated) / math.sqrt(stated * (1.0 - stated) / n)
        for _, _, n, stated, seen in bins(verdicts)
    )


def report(run: Run, vocabulary: Vocabulary) -> str:
    """The whole report as Markdown."""
    return "\n".join(
        [
            *_head(run),
            *_kept_honest(run),
            *_probabilities(run),
            *_standing_out(run),
            *_traits(run, vocabulary),
            *_errors(run),
        ]
    )


def _head(run: Run) -> list[str]:
    found = figures(run)
    lines = [
        "# Calibration of the trait check",
        "",
        "Made by `manage.py calibrate`; every figure is computed. Reference "
        f"`{run.calibration.reference_digest[:16]}`.",
        "",
        f"Each of {found['cases']} whole descriptions ({LEAST_TRAITS} traits or more, all that one source prints of one "
        f"taxon) was taken as a specimen and ranked among {found['taxa']} taxa by what was learned without its source.",
        "",
        "| | reached | asked | |",
        "| --- | ---: | ---: | --- |",
    ]
    for words, reached, way, limit, good in targets(run):
        lines.append(
            f"| {words} | {_percent(reached)} | {way} {limit * 100:.0f} % | {'reached' if good else 'MISSED'} |"
        )
    lines += [
        "",
        f"With {found['cases']} cases the standard error of the first figure is "
        f"{_percent(math.sqrt(found['first'] * (1 - found['first']) / found['cases']))}.",
        f"Of the {found['taxa']} taxa a description leaves {found['not_ruled_out']:.1f} not ruled out on average, "
        f"{found['neither_ruled_out_nor_doubtful']:.1f} neither ruled out nor doubtful.",
        "",
        "The same cases in other ways:",
        "",
        "| | cases | first | first three |",
        "| --- | ---: | ---: | ---: |",
    ]
    trials = [verdict.trial for verdict in run.verdicts]
    every = frozenset(trait for trial in trials for trait in trial.evidence)
    lines += [
        _ranked("as above", trials, every),
        _ranked("stricter: the whole family of sources left out", run.strict, every),
        _ranked("without spores and spore print", trials, every - SPORES),
        _ranked("all traits weighted alike, no weight learned", trials, every, equal=True),
        "",
    ]
    return lines


def _ranked(name: str, trials: Sequence[Trial], traits: Collection[str], *, equal: bool = False) -> str:
    able = [t for t in trials if any(trait in traits for trait in t.evidence)]
    places = [rank(t.sums(traits, equal=equal), t.case.taxon) for t in able]
    return (
        f"| {name} | {len(places)} | {_percent(share(p == 1 for p in places))} "
        f"| {_percent(share(p <= 3 for p in places))} |"
    )


def _kept_honest(run: Run) -> list[str]:
    families = len({verdict.trial.case.family for verdict in run.verdicts})
    return [
        "## How it was kept honest",
        "",
        f"- Sources were dealt into {FOLDS} folds. Interchange of states, backgrounds and spreads were learned from the "
        "other folds only; so were the weights of the traits, from leave-one-source-out cases among those folds.",
        "- Then each description of the fold was weighed. What its taxon, and the relatives of its taxon, are expected "
        "to show came from all sources but its own, which was left out of every taxon it describes.",
        "- The scale of the sum, the bands, the choice of decisive traits and the threshold of doubt that judged a fold "
        "were chosen from the other folds.",
        "- The stricter line leaves out the whole family: sources whose ids begin alike (pages of one site or one "
        f"author), and all articles of the free encyclopaedia; {families} families. What is learned as a whole comes "
        "from other families too.",
        f"- Sources of the kinds {' and '.join(NO_SPECIMEN)} are learned from but never put to the test. Binding house "
        "rules are neither.",
        "- Not nested: the shape of the model and its constants (`Constants` in `learning.py`), set by hand with these "
        "cases in view and the same for all traits. `manage.py calibrate --vary` halves and doubles each and shows what "
        "that does.",
        f"- Not nested either: the error a trait may have and still rule out, {100 * DECISIVE_ERROR:g} %. It was set at 1 % "
        "first; the right taxon was then ruled out in 1.7 % of the cases, and the limit was lowered with that in view.",
        "- The stored numbers are then learned from all sources in the same way.",
        "- Descriptions are written from many specimens. A single find shows less; how much worse it does cannot be told "
        "from books, only from settled finds.",
        "",
    ]


def _probabilities(run: Run) -> list[str]:
    lines = [
        "## Stated probability against observed rate",
        "",
        "Every taxon in every case, by the probability stated for it. Scale of the sum: "
        f"{run.calibration.scale:.3f}. Farthest bin: {worst_bin(run.verdicts):.1f} binomial standard errors.",
        "",
        "| stated | taxa | mean stated | right |",
        "| --- | ---: | ---: | ---: |",
    ]
    for low, high, n, stated, seen in bins(run.verdicts):
        lines.append(f"| {low:.1f} to {high:.1f} | {n} | {stated:.3f} | {seen:.3f} |")
    return [*lines, ""]


def _standing_out(run: Run) -> list[str]:
    found = figures(run)["lead"]
    lines = [
        "## When one stands out",
        "",
        "The check says that a taxon fits best only where it leads the next by "
        f"{found['lead_db']:g} decibans. Each description was ranked whole, and by {', '.join(map(str, PARTS))} readings "
        f"drawn from it by lot, {DRAWS} times each.",
        "",
        "| | rankings | one stands out | and is the right one |",
        "| --- | ---: | ---: | ---: |",
    ]
    for words, one in (("whole descriptions", found["whole"]), ("parts of them", found["parts"])):
        right = "" if one["right"] is None else _percent(one["right"])
        lines.append(f"| {words} | {one['rankings']} | {one['clear']} | {right} |")
    lines += ["", "| the first leads by | rankings | and is the right one |", "| --- | ---: | ---: |"]
    steps = found["steps"]
    for one, above in zip(steps, [*steps[1:], None], strict=True):
        to = f"to {above['from_db']:g}" if above else "or more"
        right = "" if one["right"] is None else _percent(one["right"])
        lines.append(f"| {one['from_db']:g} {to} | {one['rankings']} | {right} |")
    return [*lines, ""]


def _traits(run: Run, vocabulary: Vocabulary) -> list[str]:
    lines = [
        "## Traits",
        "",
        "Cases: prints that another source can judge. Disagree: the middle of a print lies beyond the outermost bounds "
        "of all the others. Band: factor beyond the outermost bound (season: months) that covers 95 and 98 % of the "
        "middles; `*`: there are few, so those of like traits were pooled. Error: the right taxon comes out `outside`, "
        "with the band of 95 % and of 98 %. Weight: what a unit of evidence counts.",
        "",
        f"Decisive, so that it may rule out: error with the wide band at most {DECISIVE_ERROR * 100:g} % in "
        f"{DECISIVE_CASES} cases or more; never a trait of growth, never the season.",
        "",
        "| trait | cases | disagree | band 95 % | band 98 % | error | error, wide | | weight |",
        "| --- | ---: | ---: | ---: | ---: | ---: | ---: | --- | ---: |",
    ]
    for code, trait in vocabulary.traits.items():
        found = run.traits[code]
        lines.append(_trait_line(code, found, whole=trait.kind == "months"))
    return [*lines, ""]


def _trait_line(code: str, found: TraitFigures, *, whole: bool) -> str:
    band = found.band
    shown = ("", "", "")
    if band is not None:
        mark = "*" if band.pooled else ""
        digits = 0 if whole else 2
        shown = (
            _percent(band.disagree),
            f"{band.band95:.{digits}f}{mark}",
            f"{band.band98:.{digits}f}{mark}",
        )
    errors = [("" if e is None else _percent(e)) for e in (found.error_rate, found.error_wide)]
    cells = [code, str(found.cases), *shown, *errors, "decisive" if found.decisive else "supporting"]
    return f"| {' | '.join(cells)} | {found.weight:.2f} |"


def _errors(run: Run) -> list[str]:
    wrong = [verdict for verdict in run.verdicts if verdict.place > 1]
    out = [verdict for verdict in run.verdicts if verdict.ruled_out_by]
    genus = [name.split()[0] for name in run.taxa]
    near = sum(genus[v.trial.case.taxon] == genus[v.first] for v in wrong)
    lines = [
        "## Where it errs, and what stands in the way",
        "",
        f"In {len(wrong)} cases another taxon came first; in {near} of them one of the same genus.",
        "",
        "How many sources describe the right taxon, its own left out (memory counted):",
        "",
        "| other sources | cases | first |",
        "| --- | ---: | ---: |",
    ]
    for name, fits in _source_groups():
        group = [v for v in run.verdicts if fits(run.sources[run.taxa[v.trial.case.taxon]] - 1)]
        if group:
            lines.append(f"| {name} | {len(group)} | {_percent(share(v.place == 1 for v in group))} |")
    lines += [
        "",
        "How many traits the description gives:",
        "",
        "| traits | cases | first |",
        "| --- | ---: | ---: |",
    ]
    for name, low, high in (("6 to 8", 6, 8), ("9 to 11", 9, 11), ("12 or more", 12, 99)):
        group = [v for v in run.verdicts if low <= len(v.trial.evidence) <= high]
        if group:
            lines.append(f"| {name} | {len(group)} | {_percent(share(v.place == 1 for v in group))} |")
    lines += ["", "Right taxon ruled out:", ""]
    lines += [
        f"- {run.taxa[v.trial.case.taxon]} by `{v.trial.case.source}`: {', '.join(v.ruled_out_by)}"
        for v in out
    ] or ["- none"]
    return [*lines, "", *_pairs(run, wrong)]


def _source_groups() -> list[tuple[str, Callable[[int], bool]]]:
    return [
        ("1", lambda n: n <= 1),
        ("2", lambda n: n == 2),
        ("3", lambda n: n == 3),
        ("4 or more", lambda n: n >= 4),
    ]


def _pairs(run: Run, wrong: Sequence[Verdict]) -> list[str]:
    """The pairs taken for each other, and the traits that misled."""
    grouped: dict[tuple[str, str], list[Verdict]] = {}
    for verdict in wrong:
        key = sorted((run.taxa[verdict.trial.case.taxon], run.taxa[verdict.first]))
        grouped.setdefault((key[0], key[1]), []).append(verdict)
    order = sorted(grouped.items(), key=lambda item: (-len(item[1]), item[0]))
    lines = [
        f"Pairs taken for each other, {len(order)} in all, the first {min(SHOWN_PAIRS, len(order))}, with the traits that "
        "spoke most for the wrong one:",
        "",
        "| pair | cases | misled by |",
        "| --- | ---: | --- |",
    ]
    for pair, verdicts in order[:SHOWN_PAIRS]:
        lines.append(f"| {pair[0]} / {pair[1]} | {len(verdicts)} | {', '.join(_misleading(verdicts))} |")
    if not order:
        lines.append("| none | 0 | |")
    return [*lines, ""]


def _misleading(verdicts: Iterable[Verdict]) -> list[str]:
    """The three traits whose evidence for the wrong taxon over the right one is largest in sum."""
    spoken: dict[str, float] = {}
    for verdict in verdicts:
        trial, right, first = verdict.trial, verdict.trial.case.taxon, verdict.first
        for trait, row in trial.evidence.items():
            spoken[trait] = spoken.get(trait, 0.0) + trial.weights[trait] * (row[first] - row[right])
    most = sorted(spoken.items(), key=lambda item: (-item[1], item[0]))[:3]
    return [trait for trait, value in most if value > 0.0]


def _percent(value: float) -> str:
    return f"{value * 100:.1f} %"


def _round(value: float) -> float:
    return float(f"{value:.4g}")

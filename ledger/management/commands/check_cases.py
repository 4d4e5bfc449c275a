"""Keep the chosen specimens that both sides of the check are held against, with what is expected of each."""

from __future__ import annotations

import hashlib
import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError

from ledger.management.house import HouseCommand
from ledger.taxa.queries import reference_of_files
from ledger.traits.calibration_values import CalibrationError
from ledger.traits.check import check_specimen
from ledger.traits.reference import Reference, UnknownInReference
from ledger.traits.reference_files import ReferenceFileError
from ledger.traits.result_json import as_json
from ledger.traits.specimen_json import SpecimenError, parse_specimen

# What is kept in full of a result: so many look-alikes, next looks, and taxa that an answer leaves.
BEST, LOOKS, NAMED = 12, 3, 3
STANDING, FIRST_LOOK, NOT_READ = "standing", "first look", "not read"


class Command(HouseCommand):
    help = (
        "Check the specimens of fixtures/check_cases.json anew and compare with the results kept there, which the\n"
        "check on the phone is held against too. Add a case by hand, with says and specimen, and write.\n\n"
        "Examples:  python manage.py check_cases            compare\n"
        "           python manage.py check_cases --write    keep the new results, and say of each what changed\n\n"
        "Exit codes: 0 done; 1 what is kept is stale, or cannot be read."
    )

    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--file",
            type=Path,
            default=Path(settings.FIXTURES) / "check_cases.json",
            help="where the cases lie",
        )
        parser.add_argument("--write", action="store_true", help="keep the results")

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        try:
            reference = reference_of_files()
            kept = json.loads(path.read_text(encoding="utf-8"))
            made = [anew(reference, case) for case in kept]
        except (
            ReferenceFileError,
            UnknownInReference,
            CalibrationError,
            OSError,
            ValueError,
            KeyError,
        ) as problem:
            raise CommandError(f"The cases cannot be checked, nothing was changed: {problem}") from problem
        stale = [case["says"] for case, old in zip(made, kept, strict=True) if case != old]
        if options["write"]:
            changes = [
                told(old.get("expected"), case) for case, old in zip(made, kept, strict=True) if case != old
            ]
            path.write_text(as_text(made), encoding="utf-8")
            for line in changes:
                self.stdout.write(line)
            self.stdout.write(
                f"{len(made)} cases are kept in {path.name}; {len(stale)} came out otherwise than before."
                f"{summed(made, kept)}"
            )
        elif stale:
            raise CommandError(
                f"{len(stale)} of {len(made)} cases come out otherwise, first: {stale[0]}. "
                "If that is meant, run: python manage.py check_cases --write"
            )
        else:
            self.stdout.write(f"All {len(made)} kept results come out again.")


def told(old: dict[str, Any] | None, case: dict[str, Any]) -> str:
    """One line on a case that came out otherwise: standing, outcomes and first look, each before -> after."""
    if old is None:
        return f"{case['says']}: new; standing {case['expected']['standing']}"
    new = case["expected"]
    before, after = _in_short(old), _in_short(new)
    changes = [
        f"{what} {before.get(what, NOT_READ)} -> {after.get(what, NOT_READ)}"
        for what in dict.fromkeys([*after, *before])
        if before.get(what, NOT_READ) != after.get(what, NOT_READ)
    ]
    if not changes:
        others = sorted(key for key in old.keys() | new.keys() if old.get(key) != new.get(key))
        changes = [f"the same in short; otherwise in {', '.join(others) or 'its specimen or words'}"]
    return f"{case['says']}: {'; '.join(changes)}"


def summed(made: list[dict[str, Any]], kept: list[dict[str, Any]]) -> str:
    """How many standings, outcomes and first looks differ from before; empty where none does."""
    many = {"standings": 0, "outcomes": 0, "first looks": 0}
    for case, old in zip(made, kept, strict=True):
        if "expected" not in old:
            continue
        before, after = _in_short(old["expected"]), _in_short(case["expected"])
        many["standings"] += before.pop(STANDING) != after.pop(STANDING)
        many["first looks"] += before.pop(FIRST_LOOK) != after.pop(FIRST_LOOK)
        codes = before.keys() | after.keys()
        many["outcomes"] += sum(before.get(code, NOT_READ) != after.get(code, NOT_READ) for code in codes)
    said = ", ".join(f"{what} {number}" for what, number in many.items() if number)
    return f" Changed: {said}." if said else ""


def _in_short(result: dict[str, Any]) -> dict[str, str]:
    """Standing, outcome by trait, first look: what a person looks at first."""
    looks = result.get("next_look") or [{"trait": "none"}]
    return {
        STANDING: str(result.get("standing")),
        **{one["trait"]: one["outcome"] for one in result.get("traits", ())},
        FIRST_LOOK: str(looks[0]["trait"]),
    }


def anew(reference: Reference, case: dict[str, Any]) -> dict[str, Any]:
    """The case with its result as it comes out now. SpecimenError names the case."""
    try:
        specimen = parse_specimen(case["specimen"], reference.vocabulary)
    except SpecimenError as problem:
        raise SpecimenError(f"{case['says']}: {problem}") from problem
    result = as_json(check_specimen(reference, specimen))
    return {"says": case["says"], "specimen": case["specimen"], "expected": shortened(result)}


def shortened(result: dict[str, Any]) -> dict[str, Any]:
    """The result as it is kept: what matters in full, the rest by a digest of its words; no rows of the reference."""
    traits = [
        {key: value for key, value in one.items() if key != "documented"}
        for one in result["traits"]
        if one["outcome"] != "not read"
    ]
    best, others = result["look_alikes"][:BEST], result["look_alikes"][BEST:]
    words = [[one["taxon"], one["standing"], one["against"], one["missing"]] for one in others]
    looks = [
        look | {"answers": [answer | {"leaves": _few(answer["leaves"])} for answer in look["answers"]]}
        for look in result["next_look"][:LOOKS]
    ]
    later = [[look["trait"], look["gain_bits"]] for look in result["next_look"][LOOKS:]]
    return result | {
        "traits": traits,
        "look_alikes": [*best, _digest(words)],
        "next_look": [*looks, *later],
    }


def _few(taxa: list[str]) -> list[str]:
    if len(taxa) <= NAMED:
        return taxa
    return [*taxa[:NAMED], f"{len(taxa)} in all, {_digest(taxa)}"]


def _digest(words: object) -> str:
    return hashlib.sha256(json.dumps(words).encode()).hexdigest()[:16]


def as_text(cases: list[dict[str, Any]]) -> str:
    """One case a line, so that a difference shows which."""
    lines = (json.dumps(case, ensure_ascii=False, separators=(",", ":")) for case in cases)
    return "[\n" + ",\n".join(lines) + "\n]\n"

"""Pores per mm on a patch of a photo: counted where they can be trusted, refused with a reason where not.

Pores are taken to be darker than the walls between them. What is counted, and what "per mm" means: `pore_count.py`.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledger.measuring.pore_count import (
    DEFINITION,
    PoreCount,
    PoresRefused,
    correction,
    counted_sentence,
    shares,
)
from ledger.measuring.pore_evidence import GUARD, LEAST_PORES, Against, Evidence, against, weigh
from ledger.measuring.pore_hand import HandCount, hand_count
from ledger.measuring.pore_mouths import COARSE, FINE, Mouths, find_mouths
from ledger.measuring.pore_scale import Proposal, likely_pitches
from ledger.measuring.pore_together import Together, combine
from ledger.words import later, say, together

__all__ = [
    "DEFINITION",
    "LEAST_PX_PER_PORE",
    "HandCount",
    "PoreCount",
    "PoresRefused",
    "Together",
    "combine",
    "count_pores",
    "hand_count",
]

Grey = NDArray[np.float32]

LEAST_PX_PER_PORE = 8.0  # below, pores are lost (see the report): the resolution limit
_FINEST, _COARSEST = 15.0, 0.4  # per mm: no underside is looked for beyond
_FINE_PORES = 9.0  # per mm: where none are seen, the photo wanted is one that would show such fine ones
_CLEAR_RING = 5.0  # a ring so high above its neighbourhood is one of pores, though they are too fine to count
_LEANING_RING = 0.5  # beyond, it is one of stripes
_TRIAL = 24.0  # pitches: the middle of the patch on which a proposal is tried
_TURNS = 4
_LEAST_SIDE = 32  # px


@dataclass(frozen=True, slots=True)
class _Look:
    """A proposal that was tried: what was found, what speaks against it ("" for nothing), and the ring's height."""

    pitch: float
    height: float
    mouths: Mouths
    evidence: Evidence
    apart: float
    against: Against


def count_pores(
    patch: NDArray[np.uint8], *, px_per_mm: float, u_px_per_mm: float
) -> PoreCount | PoresRefused:
    """Pores per mm of a rectified patch, (h, w) or (h, w, 3), with px per mm and its standard uncertainty.

    Raises ValueError for anything that is no such patch or scale. Time and memory are bounded: of a very large patch the
    middle is counted. Measured limits and errors: the report on photographs.
    """
    if patch.dtype != np.uint8 or patch.ndim not in (2, 3) or (patch.ndim == 3 and patch.shape[2] != 3):
        raise ValueError("A patch is (h, w) or (h, w, 3) of uint8.")
    if not (math.isfinite(px_per_mm) and px_per_mm > 0 and math.isfinite(u_px_per_mm) and u_px_per_mm >= 0):
        raise ValueError("The scale is px per mm above 0, its uncertainty 0 or more.")
    if min(patch.shape[:2]) < _LEAST_SIDE:
        return PoresRefused(
            "patch",
            say("The patch is smaller than {px} x {px} pixels: mark a larger one.", px=_LEAST_SIDE),
        )
    grey = _logarithm(patch)
    proposals = likely_pitches(grey, px_per_mm / _FINEST, px_per_mm / _COARSEST)
    looks = [look for p in proposals if (look := _tried(grey, p)) is not None]
    good = [look for look in looks if not look.against]
    if not good:
        return _refused(looks, proposals, px_per_mm)
    if max(look.pitch for look in good) > 1.1 * min(look.pitch for look in good):
        return _no(looks[0], "unlike", px_per_mm)
    best = good[0]
    if best.evidence.pitch < LEAST_PX_PER_PORE:
        return _too_fine(best.evidence.pitch, px_per_mm)
    return _counted(grey, best, px_per_mm, u_px_per_mm)


def _logarithm(patch: NDArray[np.uint8]) -> Grey:
    """Light falls on walls and mouths alike, so it becomes a sum; +8 keeps the noise of the darkest from swelling."""
    grey = patch.astype(np.float32) if patch.ndim == 2 else patch.mean(axis=2, dtype=np.float32)
    return np.asarray(np.log(grey + np.float32(8.0)), dtype=np.float32)


def _tried(grey: Grey, proposal: Proposal) -> _Look | None:
    """A proposal tried on the middle of the patch: the pitch is set to what was found until the two agree."""
    pitch = proposal.pitch
    for turn in range(_TURNS):
        part = _cut(grey, _TRIAL * pitch)
        mouths = find_mouths(part, pitch, FINE)
        evidence = weigh(mouths, pitch) if mouths else None
        if mouths is None or evidence is None:
            return None
        if turn == _TURNS - 1 or abs(math.log(evidence.pitch / pitch)) < 0.07:
            return _judged(part, pitch, proposal.height, mouths, evidence)
        pitch = evidence.pitch
    return None


def _cut(grey: Grey, side: float) -> Grey:
    height, width = grey.shape
    keep_height, keep_width = min(height, math.ceil(side)), min(width, math.ceil(side))
    top, left = (height - keep_height) // 2, (width - keep_width) // 2
    return grey[top : top + keep_height, left : left + keep_width]


def _judged(grey: Grey, pitch: float, height: float, mouths: Mouths, evidence: Evidence) -> _Look:
    coarse = find_mouths(grey, pitch, COARSE)
    weighed = weigh(coarse, pitch) if coarse else None
    apart = math.log(weighed.pitch / evidence.pitch) if weighed else math.inf
    return _Look(pitch, height, mouths, evidence, apart, against(evidence, apart))


def _counted(grey: Grey, trial: _Look, px_per_mm: float, u_px_per_mm: float) -> PoreCount | PoresRefused:
    """The whole patch, once the middle of it has passed."""
    pitch = trial.evidence.pitch
    mouths = find_mouths(grey, pitch, FINE)
    evidence = weigh(mouths, pitch) if mouths else None
    if mouths is None or evidence is None:
        return _no(trial, "unlike", px_per_mm)
    reason = against(evidence, trial.apart)
    look = _Look(pitch, trial.height, mouths, evidence, trial.apart, reason)
    if reason:
        return _no(look, reason, px_per_mm)
    if evidence.pitch < LEAST_PX_PER_PORE:
        return _too_fine(evidence.pitch, px_per_mm)
    if evidence.n < LEAST_PORES:
        side = (math.sqrt(LEAST_PORES) + 2 * GUARD + 1) * evidence.pitch / px_per_mm
        return PoresRefused(
            "few",
            say(
                "Only {n} whole pores lie in the patch, and {least} are wanted: mark a patch of {mm} mm or wider.",
                n=evidence.n,
                least=LEAST_PORES,
                mm=f"{side:.1f}",
            ),
            evidence.pitch,
        )
    per_mm = px_per_mm / evidence.pitch * correction(trial.apart, evidence.joined)
    scale, spread, method = shares(evidence.spread, evidence.n, trial.apart, px_per_mm, u_px_per_mm)
    relative = math.sqrt(scale**2 + spread**2 + method**2)
    window = _window(mouths, GUARD * pitch)
    left, top = mouths.offset
    x = (mouths.x[evidence.whole] + 0.5) / mouths.zoom - 0.5 + left
    y = (mouths.y[evidence.whole] + 0.5) / mouths.zoom - 0.5 + top
    return PoreCount(
        per_mm=per_mm,
        u_per_mm=per_mm * relative,
        spacing_mm=1.0 / per_mm,
        u_spacing_mm=relative / per_mm,
        n=evidence.n,
        centres=list(zip(x.tolist(), y.tolist(), strict=True)),
        window=window,
        px_per_pore=evidence.pitch,
        scale_share=scale,
        spread_share=spread,
        method_share=method,
        sentence=counted_sentence(
            per_mm, per_mm * relative, evidence.n, window[2] / px_per_mm, window[3] / px_per_mm
        ),
    )


def _window(mouths: Mouths, guard: float) -> tuple[float, float, float, float]:
    left, top = mouths.offset
    height, width = (side / mouths.zoom for side in mouths.shape)
    return left + guard, top + guard, width - 2 * guard, height - 2 * guard


# Refusals.

_SENTENCES: dict[str, str] = {
    "plain": later("No pores can be seen in this patch."),
    "oblique": later(
        "Cannot tell: the mouths are longer than wide and lean one way, as where tubes are cut at a slant. "
        "Mark a patch that is seen straight on."
    ),
    "unclosed": later(
        "Cannot tell: no pores with a wall all round, as where they are torn, wind like a maze, or are not there. "
        "Mark a patch with whole pores, or count by hand."
    ),
    "unlike": later(
        "Cannot tell: two ways of counting do not agree on this patch. "
        "Mark a cleaner or sharper one, or count by hand."
    ),
}


def _refused(looks: list[_Look], proposals: list[Proposal], px_per_mm: float) -> PoresRefused:
    """Nothing passed: too fine where a clear ring says so, else what speaks against the strongest proposal."""
    first = proposals[0] if proposals else None
    if (
        first
        and first.height > _CLEAR_RING
        and first.lean < _LEANING_RING
        and first.pitch < LEAST_PX_PER_PORE
    ):
        return _too_fine(first.pitch, px_per_mm, sure=False)
    if not looks:
        return _plain(px_per_mm)
    return _no(looks[0], looks[0].against or "unlike", px_per_mm)


def _no(look: _Look, why: Against, px_per_mm: float) -> PoresRefused:
    if why == "plain":
        return _plain(px_per_mm)
    if why == "oblique":
        return PoresRefused("oblique", say(_SENTENCES["oblique"]), look.evidence.pitch)
    closer, need = _closer(px_per_mm)
    seen = None if why == "unclosed" else look.evidence.pitch
    return PoresRefused(why or "unlike", together((_SENTENCES[why or "unlike"], *closer)), seen, need)


def _plain(px_per_mm: float) -> PoresRefused:
    closer, need = _closer(px_per_mm)
    return PoresRefused("plain", together((_SENTENCES["plain"], *closer)), None, need)


def _closer(px_per_mm: float) -> tuple[list[str], float | None]:
    """What is said besides where the photo would not show the finest pores, and the px per mm that would."""
    need = _needed(_FINE_PORES)
    if px_per_mm >= need:
        return [], None
    most = px_per_mm / LEAST_PX_PER_PORE
    sentence = say(
        "At {px} pixels per mm up to {most} pores per mm would show; "
        "finer ones need a closer photo, up to {need} pixels per mm.",
        px=f"{px_per_mm:.0f}",
        most=f"{most:.1f}",
        need=f"{need:.0f}",
    )
    return [sentence], need


def _needed(per_mm: float) -> float:
    """px per mm that make pores of so many per mm a tenth larger than the limit."""
    return float(math.ceil(1.1 * LEAST_PX_PER_PORE * per_mm))


def _too_fine(pitch: float, px_per_mm: float, *, sure: bool = True) -> PoresRefused:
    need = _needed(px_per_mm / pitch)
    values = {
        "px": f"{pitch:.1f}",
        "least": f"{LEAST_PX_PER_PORE:.0f}",
        "need": f"{need:.0f}",
        "has": f"{px_per_mm:.0f}",
    }
    sentence = (
        say(
            "The pores are too small for this photo: about {px} pixels each, and {least} are needed. "
            "Take a closer photo, with {need} pixels per mm or more (this one has {has}).",
            **values,
        )
        if sure
        else say(
            "Something fine shows; if it is pores, they are too small for this photo: "
            "about {px} pixels each, and {least} are needed. "
            "Take a closer photo, with {need} pixels per mm or more (this one has {has}).",
            **values,
        )
    )
    return PoresRefused("magnification", sentence, pitch, need)

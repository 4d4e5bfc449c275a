"""Surfaces without whole pores (maze, bare, gills, teeth, hairs, dust), and what all surfaces are drawn with.

A surface is a square of depths: how deep inside a mouth a pixel lies, in pitches, negative on a wall.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.bench.pore_fields import field as pore_field

Grey = NDArray[np.float64]


def window(spot: Grey, reach: float, size: int) -> tuple[slice, slice, Grey, Grey] | None:
    """The pixels within `reach` of a spot, with their offsets from it."""
    left, top = (max(0, int(np.floor(c - reach))) for c in spot)
    right, bottom = (min(size, int(np.ceil(c + reach)) + 1) for c in spot)
    if left >= right or top >= bottom:
        return None
    x, y = np.meshgrid(np.arange(left, right) - spot[0], np.arange(top, bottom) - spot[1])
    return slice(top, bottom), slice(left, right), x, y


def round_mouths(rng: np.random.Generator, spots: Grey, size: int, pitch: float, wall: float) -> Grey:
    """Each mouth a wobbly circle that leaves a wall to its nearest neighbour."""
    depth = np.full((size, size), -1.0)
    for spot in spots:
        found = window(spot, 0.9 * pitch, size)
        if found is None:
            continue
        away = np.sort(np.hypot(*(spots - spot).T))
        radius = np.clip((away[1] / pitch - wall) / 2, 0.18, 0.5)
        rows, columns, x, y = found
        angle = np.arctan2(y, x)
        two, three = rng.normal(0, 0.05), rng.normal(0, 0.03)
        edge = radius * (
            1 + two * np.cos(2 * angle + rng.uniform(0, 6)) + three * np.cos(3 * angle + rng.uniform(0, 6))
        )
        np.maximum(depth[rows, columns], edge - np.hypot(x, y) / pitch, out=depth[rows, columns])
    return depth


def turned(angle: float) -> NDArray[np.float64]:
    return np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])


def cloud(rng: np.random.Generator, size: int, wave: float) -> Grey:
    """Smooth noise of standard deviation 1 with humps about `wave` pixels wide."""
    small = max(8, int(np.ceil(size / max(1.0, wave / 4.0))))
    noise = cv2.GaussianBlur(rng.normal(size=(small, small)), (0, 0), 1.6)
    noise = cv2.resize(noise, (size, size), interpolation=cv2.INTER_CUBIC)
    return np.asarray((noise - noise.mean()) / (noise.std() + 1e-9))


def _ringed(rng: np.random.Generator, size: int, pitch: float, width: float) -> Grey:
    """Noise whose waves all have nearly one length, in all directions."""
    spectrum = np.fft.rfft2(rng.normal(size=(size, size)))
    waves = np.hypot(np.fft.fftfreq(size)[:, None], np.fft.rfftfreq(size)[None]) * pitch
    noise = np.fft.irfft2(spectrum * np.exp(-((waves - 1.0) ** 2) / (2 * width**2)), s=(size, size))
    return np.asarray(noise / noise.std())


def _maze(rng: np.random.Generator, size: int, pitch: float) -> Grey:
    noise = _ringed(rng, size, pitch, rng.uniform(0.08, 0.22))
    return 0.3 * (noise - rng.uniform(-0.2, 0.3))


def _bare(rng: np.random.Generator, size: int, pitch: float) -> Grey:
    """No pores: smooth, cloudy, velvety or grained."""
    choice = rng.integers(4)
    if choice == 0:
        return np.full((size, size), -0.3) + 0.02 * rng.normal(size=(size, size))
    if choice == 1:
        return (
            -0.1 + 0.12 * cloud(rng, size, pitch * rng.uniform(0.5, 4)) + 0.06 * cloud(rng, size, pitch / 2)
        )
    if choice == 2:  # humps of nearly one size, as rough as pores are wide
        return 0.15 * _ringed(rng, size, pitch, rng.uniform(0.1, 0.4)) + 0.05 * rng.normal(size=(size, size))
    grain = rng.normal(size=(size, size))
    grain = cv2.GaussianBlur(grain, (0, 0), sigmaX=0.25 * pitch, sigmaY=2.5 * pitch)
    return np.asarray(0.2 * grain / grain.std() - 0.1)


def _other(rng: np.random.Generator, size: int, pitch: float) -> Grey:
    """Something else that is dark and light by turns: gills, teeth, hairs, dust strewn at random."""
    choice = rng.integers(4)
    y, x = np.mgrid[0:size, 0:size].astype(float)
    turn = rng.uniform(0, np.pi)
    if choice == 0:
        phase = (x * np.cos(turn) + y * np.sin(turn)) / pitch + 0.35 * cloud(rng, size, 4 * pitch)
        return 0.3 * np.cos(2 * np.pi * phase)
    if choice == 1:  # teeth: light points on a dark ground
        side = int(np.ceil(size / pitch * 1.2)) + 2
        spots = pore_field(rng, side, disorder=rng.uniform(0.2, 1.0)).places * pitch - 0.1 * size
        return -round_mouths(rng, spots, size, pitch, rng.uniform(0.15, 0.4))
    canvas = np.zeros((size, size), np.uint8)
    count = int((size / pitch) ** 2 * rng.uniform(0.5, 1.2))
    for _ in range(count):
        at = rng.uniform(0, size, 2)
        if choice == 2:
            reach = turned(rng.uniform(0, np.pi)) @ np.array([pitch * rng.uniform(0.8, 2.5), 0])
            ends = tuple(tuple(int(c) for c in p) for p in (at - reach / 2, at + reach / 2))
            cv2.line(canvas, *ends, 255, max(1, round(0.15 * pitch)), cv2.LINE_AA)
        else:
            cv2.circle(
                canvas,
                tuple(int(c) for c in at),
                max(1, round(pitch * rng.uniform(0.15, 0.4))),
                255,
                -1,
                cv2.LINE_AA,
            )
    return canvas / 255.0 * 0.5 - 0.25


SURFACES = {"maze": _maze, "bare": _bare, "other": _other}

"""Colours as eyes see them: contrast, colour-vision deficiency, distance.

Sources: relative luminance and contrast, W3C, Web Content Accessibility Guidelines 2.2 (2023);
sRGB to XYZ, IEC 61966-2-1 (1999); CIE 1976 L*a*b* and its distance, ISO/CIE 11664-4 (2019), white
D65; the three matrices of full colour-vision deficiency, "A Physiologically-based Model for
Simulation of Color Vision Deficiency", IEEE Transactions on Visualization and Computer Graphics
15(6), 2009, severity 1.0.
"""

from __future__ import annotations

import numpy as np

SIGHTS = {
    "usual": np.eye(3),
    "no red cones": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "no green cones": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "no blue cones": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}
"""Each kind of colour vision, as a matrix on linear sRGB."""

_TO_XYZ = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)
_WHITE = _TO_XYZ.sum(axis=1)


def linear(color: str) -> np.ndarray:
    """A colour such as "#17507d" as linear sRGB."""
    parts = np.array([int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    """1 to 21: how much lighter the lighter of two colours is."""
    dark, light = sorted(float(linear(c) @ [0.2126, 0.7152, 0.0722]) for c in (one, other))
    return (light + 0.05) / (dark + 0.05)


def lab(color: str, sight: str = "usual") -> np.ndarray:
    """A colour as an eye of this kind sees it, in L*a*b*."""
    seen = np.clip(SIGHTS[sight] @ linear(color), 0, 1)
    t = _TO_XYZ @ seen / _WHITE
    f = np.where(t > 216 / 24389, np.cbrt(t), (24389 / 27 * t + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def apart(one: str, other: str, sight: str = "usual") -> float:
    """How far apart two colours are; about 2 can just be told apart side by side."""
    return float(np.linalg.norm(lab(one, sight) - lab(other, sight)))

"""What squares of one colour read: a mean that a speck doesn't move, its uncertainty, and whether it can be trusted."""

import numpy as np

from grader.arrays import Float32Array, FloatArray

BLOCKS = 4
CLIPPED_LIMIT = 0.05
"""Trimming takes a tenth of the pixels from either end: half of that may be clipped and the mean hardly moves."""
UNEVEN_LIMIT = 0.06
"""Standard deviation of a patch's sixteen parts over their mean. Light that falls off and noise give up to 0.045, a
reflection over the card 0.08 at the median patch, the edge of something lying on a patch 0.3."""
_TRIMMED_SHARE = 0.1
_DARK_FLOOR = 0.02


def trimmed_mean(light: Float32Array) -> FloatArray:
    """(n, 3) mean of each square without the tenth of its values at either end, channel by channel."""
    flat = np.sort(light.reshape(len(light), -1, 3), axis=1)
    cut = int(flat.shape[1] * _TRIMMED_SHARE)
    return np.asarray(flat[:, cut : flat.shape[1] - cut].mean(axis=1, dtype=float))


def block_means(light: Float32Array) -> FloatArray:
    """(n, 16, 3) means over a four by four division of each square."""
    count, side = light.shape[:2]
    step = side // BLOCKS
    cut = light.reshape(count, BLOCKS, step, BLOCKS, step, 3)
    return np.asarray(cut.mean(axis=(2, 4), dtype=float).reshape(count, BLOCKS**2, 3))


def mean_u(light: Float32Array, blocks: FloatArray) -> FloatArray:
    """(n, 3) standard uncertainty of each mean: pixel noise over all pixels, unevenness over the blocks."""
    noise = light.reshape(len(light), -1, 3).var(axis=1, dtype=float) / (light.shape[1] * light.shape[2])
    return np.asarray(np.sqrt(noise + blocks.var(axis=1, ddof=1) / blocks.shape[1]))


def unevenness(blocks: FloatArray) -> FloatArray:
    """(n,) standard deviation of a patch's blocks over their mean, worst channel; dark patches judged more mildly."""
    return np.asarray(np.max(blocks.std(axis=1, ddof=1) / (blocks.mean(axis=1) + _DARK_FLOOR), axis=1))

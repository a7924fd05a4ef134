"""Restricted maximum likelihood for variances that add: batches, plates, phones, people, in any unequal numbers.

A part's variance may come out below zero while all of them together stay possible: held at zero, differences would be
stated surer than they are wherever batches happened to agree. On balanced data the estimates are those of the analysis
of variance, and the degrees of freedom whole numbers.

Sources (from memory; the tests hold estimates against statsmodels and published tables, intervals against simulation):
S. R. Searle, G. Casella, C. E. McCulloch, Variance Components (1992), chapter 6, for the likelihood and its scoring;
M. G. Kenward, J. H. Roger, "Small sample inference for fixed effects from restricted maximum likelihood", Biometrics 53
(1997) 983-997, for the covariance of the fixed effects and, of one contrast, its degrees of freedom.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from grader.arrays import FloatArray, MaskArray, frozen
from grader.errors import GraderError

_ROUNDS = 200
_SETTLED = 1e-9
_HALVINGS = 40
_SINGULAR = 1e-10
_LEVEL = 1e-3
_EDGE = 1e-5
_LOPSIDED = 1e-6


class TooLittleToTellError(GraderError, ValueError):
    """So few plates, batches or photos can't tell the parts of a spread apart."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Blocks:
    """Independent groups of readings that are built alike.

    Attributes
    ----------
    readings
        (groups, n).
    design
        (groups, n, p) of the fixed effects.
    known
        (groups, n) variance of each reading that is known already; the parts come on top of it.
    parts
        (k, n, n) how each part makes the readings of one group vary together, for unit variance.
    """

    readings: FloatArray
    design: FloatArray
    known: FloatArray
    parts: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Contrast:
    """A combination of fixed effects, its variance, and how surely that is known as degrees of freedom."""

    value: float
    variance: float
    freedom: float

    @property
    def u(self) -> float:
        """Standard uncertainty."""
        return float(np.sqrt(self.variance))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MixedFit:
    """What was fitted.

    Attributes
    ----------
    fixed
        (p,) the fixed effects.
    covariance
        (p, p) theirs, with what the estimated variances add to it (Kenward and Roger).
    variances
        (k,) of the parts, as estimated: one may lie below zero.
    variances_covariance
        (k, k) theirs, by the expected information.
    """

    fixed: FloatArray
    covariance: FloatArray
    variances: FloatArray
    variances_covariance: FloatArray
    _plain: FloatArray
    _slopes: FloatArray

    def contrast(self, weights: FloatArray) -> Contrast:
        """The combination of fixed effects with weights (p,)."""
        plain = float(weights @ self._plain @ weights)
        slopes = np.einsum("p,kpq,q->k", weights, self._slopes, weights)
        doubt = float(slopes @ self.variances_covariance @ slopes)
        return Contrast(
            value=float(weights @ self.fixed),
            variance=float(weights @ self.covariance @ weights),
            freedom=2 * plain**2 / doubt if doubt > 0 else float("inf"),
        )


def fit_reml(blocks: Sequence[Blocks]) -> MixedFit:
    """Fit all groups together: one set of fixed effects, one variance a part.

    Where the likelihood has no highest point among variances below zero (a few unequal batches that happen to agree),
    the part lowest below it is held at zero and tells nothing.

    Raises
    ------
    TooLittleToTellError
        The readings can't tell the parts, or the fixed effects, apart.
    """
    held = np.zeros(len(blocks[0].parts), bool)
    while True:
        free = [replace(one, parts=one.parts[~held]) for one in blocks]
        variances, at = _highest(free)
        if at is not None:
            return _concluded(variances, at, held)
        held[np.flatnonzero(~held)[int(np.argmin(variances))]] = True
        if held.all() and not all((one.known > 0).all() for one in blocks):
            raise _untold()


def _highest(blocks: Sequence[Blocks]) -> "tuple[FloatArray, _Look | None]":
    """The variances of the highest likelihood; where it has none, those last looked at and None."""
    variances = _start(blocks)
    try:
        at = _look(blocks, variances)
    except np.linalg.LinAlgError as error:  # without the part that is held at zero readings couldn't differ as they do
        raise _untold() from error
    if not len(variances):
        return variances, at
    if _inverse(at.information) is None or float(at.told.min()) < _SINGULAR:
        raise _untold()  # not by bad luck: parts or fixed effects stand for one another
    for _ in range(_ROUNDS):
        inverse = _inverse(at.information)
        if inverse is None:
            break
        variances, at, moved = _step(blocks, variances, inverse @ at.score, at)
        if moved <= _SETTLED * (float(np.abs(variances).sum()) + _known(blocks)):
            return variances, at if _level(at) else None
    return variances, None


def _level(at: "_Look") -> bool:
    """Whether this is the highest place: a step of nothing elsewhere has run into the edge of what is possible."""
    if _inverse(at.information) is None:
        return False
    return float(np.abs(at.score / np.sqrt(np.diagonal(at.information))).max()) < _LEVEL


def _known(blocks: Sequence[Blocks]) -> float:
    return float(np.mean([one.known.mean() for one in blocks]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Look:
    """The likelihood at some variances, and all that is needed to go on from there.

    `told` (k,) is what fixed effects leave of each part's information, as a share of it.
    """

    likelihood: float
    score: FloatArray
    information: FloatArray
    fixed: FloatArray
    plain: FloatArray
    first: FloatArray
    second: FloatArray
    told: FloatArray


def _untold() -> TooLittleToTellError:
    return TooLittleToTellError(
        "These readings are too few, too much alike, or lie too unluckily, to tell what comes from where.",
        hint="Take more: several batches of each, several plates in some of the batches.",
    )


def _start(blocks: Sequence[Blocks]) -> FloatArray:
    """The whole scatter about the fixed effects, shared out evenly."""
    design = np.concatenate([one.design.reshape(-1, one.design.shape[-1]) for one in blocks])
    readings = np.concatenate([one.readings.ravel() for one in blocks])
    freedom = len(readings) - int(np.linalg.matrix_rank(design))
    if freedom < 1 or np.linalg.matrix_rank(design) < design.shape[1]:
        raise _untold()
    left = readings - design @ np.linalg.lstsq(design, readings)[0]
    spread = max(float(left @ left) / freedom, _known(blocks))
    if spread <= (_SETTLED * float(np.abs(readings).max())) ** 2:
        raise _untold()
    return np.full(len(blocks[0].parts), spread / max(len(blocks[0].parts), 1))


def _step(
    blocks: Sequence[Blocks], variances: FloatArray, step: FloatArray, at: _Look
) -> tuple[FloatArray, _Look, float]:
    """One step of scoring, halved until it is possible and no worse."""
    for halving in range(_HALVINGS):
        there = variances + step / 2**halving
        try:
            look = _look(blocks, there)
        except np.linalg.LinAlgError:
            continue
        if look.likelihood >= at.likelihood - _SETTLED * abs(at.likelihood):
            return there, look, float(np.abs(there - variances).max())
    return variances, at, 0.0


def _look(blocks: Sequence[Blocks], variances: FloatArray) -> _Look:
    """The restricted likelihood, its slope and expected information, as sums over independent groups."""
    parts, p = len(variances), blocks[0].design.shape[-1]
    log_size, normal, moments = 0.0, np.zeros((p, p)), np.zeros(p)
    traces, cross = np.zeros(parts), np.zeros((parts, parts))
    first, second = np.zeros((parts, p, p)), np.zeros((parts, parts, p, p))
    inverses = []
    for one in blocks:
        whole = one.known[:, :, None] * np.eye(one.known.shape[1]) + np.tensordot(variances, one.parts, 1)[None]
        roots = np.diagonal(np.linalg.cholesky(whole), axis1=1, axis2=2)
        if float(roots.min()) < _EDGE * float(roots.max()):
            raise np.linalg.LinAlgError("as good as singular")
        log_size += 2 * float(np.log(roots).sum())
        inverse = np.linalg.inv(whole)
        inverses.append(inverse)
        seen = inverse @ one.design
        normal += np.einsum("gnp,gnq->pq", one.design, seen)
        moments += np.einsum("gnp,gn->p", seen, one.readings)
        shares = inverse[None] @ one.parts[:, None]
        traces += np.einsum("kgnn->k", shares)
        cross += np.einsum("kgnm,lgmn->kl", shares, shares)
        moved = one.parts[:, None] @ seen[None]
        first -= np.einsum("gnp,kgnq->kpq", seen, moved)
        second += np.einsum("kgnp,gnm,lgmq->klpq", moved, inverse, moved, optimize=True)
    plain = np.asarray(np.linalg.inv(normal), float)
    fixed = plain @ moments
    squares, slopes = 0.0, np.zeros(parts)
    for one, inverse in zip(blocks, inverses, strict=True):
        left = one.readings - one.design @ fixed
        weighed = np.einsum("gnm,gm->gn", inverse, left)
        squares += float((left * weighed).sum())
        slopes += np.einsum("gn,knm,gm->k", weighed, one.parts, weighed)
    turned = plain @ first
    information = cross - 2 * np.einsum("pq,klqp->kl", plain, second) + np.einsum("kpq,lqp->kl", turned, turned)
    return _Look(
        likelihood=-0.5 * (log_size + float(np.linalg.slogdet(normal)[1]) + squares),
        score=-0.5 * (traces + np.einsum("pq,kqp->k", plain, first)) + 0.5 * slopes,
        information=0.5 * information,
        fixed=fixed,
        plain=plain,
        first=first,
        second=second,
        told=np.diagonal(information) / np.diagonal(cross),
    )


def _concluded(variances: FloatArray, at: _Look, held: MaskArray) -> MixedFit:
    """Of what was fitted; parts that were held at zero come back as zero, known for sure."""
    known, plain = _inverse(at.information), at.plain
    if known is None:
        raise AssertionError("a place without an inverse was taken for the highest")
    excess = np.einsum("kl,klpq->pq", known, at.second - at.first[:, None] @ plain @ at.first[None])
    free = np.flatnonzero(~held)
    every, between, slopes = np.zeros(len(held)), np.zeros((len(held),) * 2), np.zeros((len(held), *plain.shape))
    every[free], between[np.ix_(free, free)], slopes[free] = variances, known, -(plain @ at.first @ plain)
    return MixedFit(
        fixed=frozen(at.fixed),
        covariance=frozen(plain + 2 * plain @ excess @ plain),
        variances=frozen(every),
        variances_covariance=frozen(between),
        _plain=plain,
        _slopes=slopes,
    )


def _inverse(information: FloatArray) -> FloatArray | None:
    """The inverse of an information; None where it tells too little of some part."""
    size = np.diagonal(information)
    if not np.all(size > 0):
        return None
    scale = np.sqrt(size)
    alike = information / np.outer(scale, scale)
    # Near the edge of what is possible terms cancel until nothing but rounding is left: it shows as lopsidedness.
    if not np.isfinite(alike).all() or not np.allclose(alike, alike.T, atol=_LOPSIDED):
        return None
    if len(alike) and float(np.linalg.eigvalsh(alike)[0]) < _SINGULAR:
        return None
    return np.asarray(np.linalg.inv((alike + alike.T) / 2) / np.outer(scale, scale))

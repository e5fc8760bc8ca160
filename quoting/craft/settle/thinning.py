"""Below what all quads cover: quads and big rounds are left out, evenly along the string, until the asked fullness is
measured. What stays hangs where it came to rest among all of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quoting.craft.settle.gap_search import Envelope, covering
from quoting.craft.settle.garland import GOLDEN, Strung

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Mask = NDArray[np.bool_]
MOST_EXCHANGED = 4  # a setting of the search
NEAR = 2  # how many places on the string a quad may be moved to come nearer to what is asked: a setting of the search


@dataclass(frozen=True, slots=True)
class Kept:
    """What stays: ``balloons`` (n,) of the string, the share up to which quads and big rounds were taken, and how much
    of the envelope they cover."""

    balloons: Mask
    share: float
    fullness: float


def kept_by_share(strung: Strung, share: float) -> Mask:
    """Say which balloons stay where this share of quads and of big rounds is strung, taken evenly: one quad at least,
    and of a longer string no fewer."""
    clusters = _Clusters.of(strung)
    return np.asarray(clusters.up_to(share)[clusters.number])


def kept_for(
    strung: Strung, seen: Envelope, others: tuple[Array, Array], asked: float, *, share: float | None = None
) -> Kept:
    """Take as many quads and big rounds as come nearest to the asked fullness, or a given share of them; some are
    exchanged for others of their kind where that comes nearer still.

    ``others``: centres and radii of what is not on this string. A greater wish never takes fewer balloons.
    """
    clusters = _Clusters.of(strung)
    cover = _Cover.of(seen, strung, others, clusters)
    taken = clusters.share_of(_nearest_count(clusters, cover, asked)) if share is None else share
    stays = _exchanged(clusters, cover, clusters.up_to(taken), asked)
    return Kept(np.asarray(stays[clusters.number]), taken, cover.fullness(stays))


# Private


@dataclass(frozen=True, slots=True)
class _Clusters:
    """Quads and big rounds of a string: the cluster of each balloon, and of each cluster the share at which it comes
    and how many balloons it has."""

    number: Index
    key: Array
    size: Index

    @classmethod
    def of(cls, strung: Strung) -> _Clusters:
        quads, tied = int(strung.quad.max()) + 1, np.flatnonzero(strung.quad < 0)
        number = strung.quad.copy()
        number[tied] = quads + np.arange(len(tied))
        return cls(number, np.concatenate([_even(quads), _even(len(tied))]), np.bincount(number))

    def up_to(self, share: float) -> Mask:
        """What has come at a share; the first quad, which is the first of all quads to come, in any case."""
        come = self.key <= share
        come[0] = True
        return come

    def neighbours(self, some: Index, others: Index) -> Mask:
        """Say which of some clusters are of one kind with which others and near them on the string, so that in each
        other's place they leave it even; (some, others)."""
        alike = self.size[some][:, None] == self.size[others][None, :]
        return np.asarray(alike & (np.abs(some[:, None] - others[None, :]) <= NEAR))

    def share_of(self, count: int) -> float:
        return float(np.sort(self.key)[count - 1])


@dataclass(frozen=True, slots=True)
class _Cover:
    """Which clusters cover which samples of the envelope: each pair once. ``anyway``: samples that something else
    covers; ``weight`` of a sample as a share of all."""

    sample: Index
    cluster: Index
    anyway: Mask
    weight: Array

    @classmethod
    def of(cls, seen: Envelope, strung: Strung, others: tuple[Array, Array], clusters: _Clusters) -> _Cover:
        weight, count = seen.weight.reshape(-1) / seen.weight.sum(), len(clusters.key)
        sample, ball = covering(seen, strung.centres, strung.radii)
        sample, cluster = np.divmod(np.unique(sample * count + clusters.number[ball]), count)
        anyway = np.zeros(len(weight), bool)
        anyway[covering(seen, *others)[0]] = True
        return cls(sample, cluster, anyway, weight)

    def times(self, stays: Mask) -> Index:
        """How often each sample is covered by the clusters that stay; once more than ever where something else does."""
        often = np.bincount(self.sample[stays[self.cluster]], minlength=len(self.weight))
        often[self.anyway] = len(stays) + 1
        return often

    def fullness(self, stays: Mask) -> float:
        return float(self.weight[self.times(stays) > 0].sum())

    def moves(self, stays: Mask) -> tuple[Array, Array]:
        """By cluster: what it would lose if it were left out, and what it would gain if it came."""
        often = self.times(stays)[self.sample]
        share, count = self.weight[self.sample], len(stays)
        inside = stays[self.cluster]
        lost, won = inside & (often == 1), ~inside & (often == 0)
        loss = np.bincount(self.cluster[lost], share[lost], count)
        gain = np.bincount(self.cluster[won], share[won], count)
        return loss.astype(np.float64), gain.astype(np.float64)


def _nearest_count(clusters: _Clusters, cover: _Cover, asked: float) -> int:
    """How many clusters, taken as they come, are nearest to the asked fullness."""
    count = len(clusters.key)
    come = np.empty(count, np.int64)
    come[np.argsort(clusters.key, kind="stable")] = np.arange(1, count + 1)
    first = np.full(len(cover.weight), count + 1)
    np.minimum.at(first, cover.sample, come[cover.cluster])
    first[cover.anyway] = 0
    by_count = np.cumsum(np.bincount(first, cover.weight, count + 2))[: count + 1]
    return max(int(np.argmin(np.abs(by_count - asked))), int(come[0]))


def _exchanged(clusters: _Clusters, cover: _Cover, stays: Mask, asked: float) -> Mask:
    """The same number of clusters of each size, some of them others, so that what they cover comes nearer."""
    for _ in range(MOST_EXCHANGED):
        fullness, (loss, gain) = cover.fullness(stays), cover.moves(stays)
        inside, outside = np.flatnonzero(stays), np.flatnonzero(~stays)
        if not len(outside):
            break
        off = np.abs(fullness - asked - loss[inside][:, None] + gain[outside][None, :])
        off[~clusters.neighbours(inside, outside)] = np.inf
        gone, come = np.divmod(int(np.argmin(off)), len(outside))
        trial = stays.copy()
        trial[inside[gone]], trial[outside[come]] = False, True
        if abs(cover.fullness(trial) - asked) >= abs(fullness - asked):
            break
        stays = trial
    return stays


def _even(count: int) -> Array:
    """For each of a row the share at which it comes, so that those which have come lie evenly along it."""
    order = np.argsort(np.arange(count) * GOLDEN % 1.0, kind="stable")
    key = np.empty(count)
    key[order] = (np.arange(count) + 0.5) / max(count, 1)
    return key

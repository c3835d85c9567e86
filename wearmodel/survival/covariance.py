"""Covariances of estimates: by vehicle, at least as wide as each of two, and less what was lost."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "clustered_covariance",
    "drawn_errors",
    "less_information",
    "numbered",
    "scores_by_cluster",
    "segment_scores_by_cluster",
    "wider_covariance",
]

Array = NDArray[Any]
_FEWEST_CLUSTERS = 20
_PIECE = 8192
_LEAST_KEPT = 0.01


def scores_by_cluster(scores: Array, cluster: Array) -> Array:
    """Scores of lives summed by vehicle.

    Parameters
    ----------
    scores : ndarray, shape (n_lives, n_parameters)
        Gradient of each life.
    cluster : ndarray of int, shape (n_lives,)
        Vehicle index.

    Returns
    -------
    ndarray, shape (n_vehicles, n_parameters)
        In the order of the distinct indices.
    """
    index = numbered(cluster)
    groups = int(index.max(initial=-1)) + 1
    sums = [np.bincount(index, weights=column, minlength=groups) for column in scores.T]
    return np.stack(sums, axis=1)


def segment_scores_by_cluster(
    by_segment: Array, design: Array, by_shape: Array, *, life: Array, cluster: Array
) -> Array:
    """The same from the derivatives in the x'b of each segment, without a row for each life.

    Parameters
    ----------
    by_segment : ndarray, shape (n_segments,)
        Derivative in x'b.
    design : ndarray, shape (n_segments, n_coefficients)
        Covariates.
    by_shape : ndarray, shape (n_lives,)
        Derivative in the log shape.
    life : ndarray of int, shape (n_segments,)
        Life of each segment.
    cluster : ndarray of int, shape (n_lives,)
        Vehicle index.

    Returns
    -------
    ndarray, shape (n_vehicles, n_coefficients + 1)
        In the order of the distinct indices.
    """
    index = numbered(cluster)
    owner = index if len(life) == len(index) else index[life]
    groups = int(index.max(initial=-1)) + 1
    sums = np.zeros((design.shape[1] + 1, groups))
    # Lives in the order of their vehicles are summed in pieces that stay in the processor's cache.
    step = _PIECE if np.all(owner[1:] >= owner[:-1]) else max(len(owner), 1)
    for begin in range(0, len(owner), step):
        at = slice(begin, begin + step)
        low, high = int(owner[at].min()), int(owner[at].max()) + 1
        for row, column in zip(sums[:-1], design[at].T, strict=True):
            row[low:high] += np.bincount(owner[at] - low, weights=by_segment[at] * column, minlength=high - low)
    sums[-1] = np.bincount(index, weights=by_shape, minlength=groups)
    return sums.T


def numbered(cluster: Array) -> Array:
    """Number of each life's vehicle in the order of the distinct indices.

    Parameters
    ----------
    cluster : ndarray of int, shape (n_lives,)
        Vehicle index.

    Returns
    -------
    ndarray of int, shape (n_lives,)
        From 0, none left out.
    """
    if cluster.min(initial=0) < 0 or cluster.max(initial=0) > 4 * len(cluster):
        return np.unique(cluster, return_inverse=True)[1]
    present = np.bincount(cluster) > 0
    return cluster if present.all() else (np.cumsum(present) - 1)[cluster]


def clustered_covariance(covariance: Array, scores: Array) -> Array:
    """Sandwich covariance by vehicle.

    Parameters
    ----------
    covariance : ndarray, shape (n_parameters, n_parameters)
        Inverse information; zero rows for what was held.
    scores : ndarray, shape (n_vehicles, n_parameters)
        Gradient of each vehicle.

    Returns
    -------
    ndarray, shape (n_parameters, n_parameters)
        With the small-sample factor G / (G - 1); below 20 vehicles the plain covariance.
    """
    groups = len(scores)
    if groups < _FEWEST_CLUSTERS:
        return covariance
    return np.asarray(covariance @ (scores.T @ scores) @ covariance * (groups / (groups - 1.0)))


def wider_covariance(one: Array, other: Array) -> Array:
    """Covariance that is at least as wide as each of two, in every direction.

    Parameters
    ----------
    one, other : ndarray, shape (n, n)
        Symmetric, not negative.

    Returns
    -------
    ndarray, shape (n, n)
        `other` plus the positive part of `one` - `other`. With few clusters the sandwich is too narrow,
        with vehicles that fail alike the plain inverse information is: neither is trusted to be the
        narrower one.
    """
    eigenvalues, vectors = np.linalg.eigh(one - other)
    return other + (vectors * np.maximum(eigenvalues, 0.0)) @ vectors.T


# In quotes: numpy loads its random numbers, 6 MiB that a fit has no use for, when they are first named.
def drawn_errors(covariance: Array, *, draws: int, rng: "np.random.Generator") -> Array:
    """Normal errors of mean 0 drawn from a covariance.

    Parameters
    ----------
    covariance : ndarray, shape (n, n)
        Symmetric; directions in which it is not positive do not spread.
    draws : int
        Number of draws.
    rng : numpy.random.Generator
        Source of randomness.

    Returns
    -------
    ndarray, shape (draws, n)
        One row a draw.
    """
    eigenvalues, vectors = np.linalg.eigh(covariance)
    root = vectors * np.sqrt(np.maximum(eigenvalues, 0.0))
    return np.asarray(rng.standard_normal((draws, len(covariance))) @ root.T)


def less_information(information: Array, lost: Array) -> Array:
    """Information without what was lost.

    Parameters
    ----------
    information, lost : ndarray, shape (n_parameters, n_parameters)
        What complete data would tell; what is missing of it.

    Returns
    -------
    ndarray, shape (n_parameters, n_parameters)
        What is lost in full stays as a trace, so that it can be inverted.
    """
    eigenvalues, vectors = np.linalg.eigh(information)
    root = (vectors * np.sqrt(np.maximum(eigenvalues, 0.0))) @ vectors.T
    back = (vectors / np.sqrt(np.maximum(eigenvalues, 1e-300))) @ vectors.T
    share, axes = np.linalg.eigh(np.eye(len(information)) - back @ lost @ back)
    kept = (axes * np.clip(share, _LEAST_KEPT, 1.0)) @ axes.T
    return np.asarray(root @ kept @ root)

"""Boosted regression trees as plain arrays: chances without the library that learnt them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.special import expit

__all__ = ["BoostedTrees"]

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class BoostedTrees:
    """Trees whose values add up to log odds.

    Parameters
    ----------
    feature : ndarray of int, shape (n_trees, n_nodes)
        What a node looks at; negative in a leaf.
    threshold : ndarray, shape (n_trees, n_nodes)
        Rows up to it go left.
    left, right : ndarray of int, shape (n_trees, n_nodes)
        Where they go.
    value : ndarray, shape (n_trees, n_nodes)
        Log odds a leaf adds.
    base : float
        Log odds before any tree.
    """

    feature: IntArray
    threshold: FloatArray
    left: IntArray
    right: IntArray
    value: FloatArray
    base: float

    @classmethod
    def of(cls, arrays: Mapping[str, Any], prefix: str) -> "BoostedTrees":
        """Trees from stored arrays.

        Parameters
        ----------
        arrays : mapping of str to ndarray
            As of `arrays` of another, each name after the prefix.
        prefix : str
            What the names begin with.
        """
        whole = [np.asarray(arrays[prefix + name], dtype=np.intp) for name in ("feature", "left", "right")]
        real = [np.asarray(arrays[prefix + name], dtype=np.float64) for name in ("threshold", "value")]
        return cls(whole[0], real[0], whole[1], whole[2], real[1], float(arrays[prefix + "base"]))

    def chances(self, rows: FloatArray) -> FloatArray:
        """The chance of each row.

        Parameters
        ----------
        rows : ndarray, shape (n_rows, n_features)
            Features.

        Returns
        -------
        ndarray, shape (n_rows,)
            0 to 1.
        """
        rows = np.asarray(rows, dtype=np.float32)
        odds = np.full(len(rows), self.base)
        every = np.arange(len(rows))
        for tree in range(len(self.feature)):
            node = np.zeros(len(rows), dtype=np.intp)
            while (looks := self.feature[tree, node] >= 0).any():
                at = node[looks]
                goes_left = rows[every[looks], self.feature[tree, at]] <= self.threshold[tree, at]
                node[looks] = np.where(goes_left, self.left[tree, at], self.right[tree, at])
            odds += self.value[tree, node]
        return np.asarray(expit(odds))

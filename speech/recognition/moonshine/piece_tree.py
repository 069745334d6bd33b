"""Every written form of every word as a tree of pieces. Closed once made, and small: most of its nodes are ends."""

from collections.abc import Sequence

import numpy as np

from speech.recognition.moonshine.word_counts import FloatArray, Numbers

Spelt = tuple[tuple[int, ...], int]  # the pieces of a form, and its number
NONE: Numbers = np.zeros(0, np.int64)


class Node:
    """A place in the tree: the forms that end here, the pieces that lead on, and where to."""

    __slots__ = ("below", "cuts", "ends", "following", "pieces")

    def __init__(self, ends: tuple[int, ...] = (), following: dict[int, "Node"] | None = None) -> None:
        self.ends = ends
        self.pieces, self.following, self.below, self.cuts = NONE, tuple[Node, ...](), NONE, NONE
        if following:
            self.pieces, self.following = np.array(list(following), np.int64), tuple(following.values())
            parts = [node.forms() for node in self.following]
            self.below = np.concatenate(parts)  # the forms in the subtree of each that follows
            self.cuts = np.cumsum([0, *(len(part) for part in parts)])[:-1]  # where each of those begins

    def forms(self) -> Numbers:
        """The forms in the whole subtree."""
        return np.concatenate([np.array(self.ends, np.int64), self.below]) if self.ends else self.below

    def best(self, of: FloatArray) -> FloatArray:
        """For each piece that leads on, the best of these values among the forms beyond it."""
        result: FloatArray = np.maximum.reduceat(of[self.below], self.cuts)
        return result


EMPTY = Node()


def grown(tree: Node, forms: Sequence[Spelt], at: int = 0) -> Node:
    """The tree with these forms as well, from their pieces `at` on; what is not changed is shared with it."""
    ends = tree.ends + tuple(number for spelt, number in forms if len(spelt) == at)
    leading: dict[int, list[Spelt]] = {}
    for form in forms:
        if len(form[0]) > at:
            leading.setdefault(form[0][at], []).append(form)
    following = dict(zip(tree.pieces.tolist(), tree.following, strict=True))
    for piece, some in leading.items():
        following[piece] = grown(following.get(piece, EMPTY), some, at + 1)
    return Node(ends, following)

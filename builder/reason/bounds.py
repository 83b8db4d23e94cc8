"""What no order of questions can beat: published bounds on the number of looks."""

import heapq
import math
from collections.abc import Sequence


def binary_entropy(chance: float) -> float:
    """Bits in one yes or no of this chance (0 to 1)."""
    if chance in (0.0, 1.0):
        return 0.0
    return -chance * math.log2(chance) - (1 - chance) * math.log2(1 - chance)


def capacity(right: float, answers: int = 2) -> float:
    """Bits that one answer carries if it is right this often (Shannon 1948).

    Any of the other answers is said as often as any other: the symmetric channel.
    """
    lost = binary_entropy(right) + (1 - right) * math.log2(answers - 1)
    return math.log2(answers) - lost


def huffman_length(shares: Sequence[float]) -> float:
    """Expected number of the best possible yes-or-no questions (Huffman 1952)."""
    heap = list(shares)
    heapq.heapify(heap)
    total = 0.0
    while len(heap) > 1:
        joined = heapq.heappop(heap) + heapq.heappop(heap)
        total += joined
        heapq.heappush(heap, joined)
    return total


def fewest_questions(causes: int, lies: int) -> int:
    """Least q with causes x sum of C(q, i) up to `lies` at most 2^q.

    No plan of yes-or-no questions names one of so many causes in fewer, if up to `lies`
    answers may be wrong (Ulam's game).
    """
    questions = 0
    while causes * sum(math.comb(questions, i) for i in range(lies + 1)) > 2**questions:
        questions += 1
    return questions

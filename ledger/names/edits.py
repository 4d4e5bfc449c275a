"""How many slips of the finger part two words."""


def edits(one: str, other: str, limit: int) -> int | None:
    """Letters put in, left out, changed or swapped with the next one (optimal string alignment); None above `limit`."""
    if abs(len(one) - len(other)) > limit:
        return None
    before: list[int] = []
    last = list(range(len(other) + 1))
    for i, a in enumerate(one, start=1):
        row = [i]
        for j, b in enumerate(other, start=1):
            cost = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (a != b))
            if i > 1 and j > 1 and a == other[j - 2] and one[i - 2] == b:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        if min(row) > limit and min(last) > limit:
            return None
        before, last = last, row
    return last[-1] if last[-1] <= limit else None


def allowance(word: str) -> int:
    """How many slips are still taken for the same word: one in short words, three in long ones (our choice)."""
    return 1 if len(word) <= 5 else 2 if len(word) <= 9 else 3

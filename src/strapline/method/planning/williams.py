"""Orders of several things in which each follows each other equally often."""


def williams(things: int) -> list[list[int]]:
    """Rows of a design balanced for carry-over: the numbers 0 to things - 1, each once a row.

    Over all rows each number stands at each place equally often, and comes directly after each
    other number equally often: once, in as many rows as things, for an even number; twice, in
    twice as many, for an odd one. Williams 1949, Aust J Sci Res A 2:149-168 (construction from
    memory: 0, 1, n - 1, 2, n - 2, … and its shifts; for odd n with the mirror image).
    """
    if things < 1:
        return []
    first = [0] + [(step + 1) // 2 if step % 2 else things - step // 2 for step in range(1, things)]
    square = [[(number + shift) % things for number in first] for shift in range(things)]
    if things % 2 == 0 or things == 1:
        return square
    return square + [row[::-1] for row in square]

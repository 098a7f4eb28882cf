"""Exit codes, the same for every command."""

ALL_RELEASED, SOME_HELD, CANNOT_START, OUR_BUG = 0, 1, 2, 3

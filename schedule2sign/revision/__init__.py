"""Two issues of one job, sign by sign: what must be made again."""

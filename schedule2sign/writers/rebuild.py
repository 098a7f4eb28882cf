"""What a later run takes over for signs that are as they were: nobody reads it, and nothing at the bench needs it."""

import gzip
import json
from collections.abc import Iterator
from functools import partial

from schedule2sign.model.job import Job, SignWork
from schedule2sign.model.outfile import OutFile
from schedule2sign.plainform import Table
from schedule2sign.writers.protocol import Portion

FOLDER = "rebuild"
_MANY = 250  # signs in a file


class Rebuild:
    """Writes rebuild/0001.json.gz and so on."""

    name = "rebuild"

    def render(self, job: Job) -> Iterator[OutFile]:
        for portion in self.portions(job):
            yield from portion()

    def portions(self, job: Job) -> Iterator[Portion]:
        # A work that several signs share, and what was made with other means, is left out.
        works = list({sign.work.key: sign.work for sign in job.signs if sign.work is not None}.values())
        return (
            partial(_render, f"{FOLDER}/{number:04d}.json.gz", works[first : first + _MANY])
            for number, first in enumerate(range(0, len(works), _MANY), start=1)
        )


def _render(path: str, works: list[SignWork]) -> Iterator[OutFile]:
    table = Table()
    places = [table.put(work) for work in works]
    record = {"made_with": works[0].made_with, "nodes": table.nodes, "works": places}
    text = json.dumps(record, separators=(",", ":"), allow_nan=False)
    yield OutFile(path, gzip.compress(text.encode("ascii"), compresslevel=1, mtime=0))

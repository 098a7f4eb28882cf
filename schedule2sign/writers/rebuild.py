"""What a later run takes over for signs that are as they were: nobody reads it, and nothing at the bench needs it."""

import gzip
import json
from collections.abc import Iterator, Mapping, Sequence
from functools import partial

from schedule2sign.model.job import Job, SignWork
from schedule2sign.model.outfile import OutFile
from schedule2sign.plainform import Table
from schedule2sign.writers.protocol import Portion
from schedule2sign.writers.released import production_path, released_signs
from schedule2sign.writers.sign_dxf import SignDxf
from schedule2sign.writers.sign_svg import SignSvg

FOLDER = "rebuild"
DRAWINGS = f"{FOLDER}/drawings.json.gz"  # what each production file was made of
WORKS = f"{FOLDER}/works-"
_MANY = 250  # works in a file
_KINDS = (SignDxf(), SignSvg())


class Rebuild:
    """Writes rebuild/drawings.json.gz, rebuild/works-0001.json.gz and so on."""

    name = "rebuild"

    def render(self, job: Job) -> Iterator[OutFile]:
        for portion in self.portions(job):
            yield from portion()

    def portions(self, job: Job) -> Iterator[Portion]:
        works = [sign.work for sign in job.signs if sign.work is not None]
        for number, first in enumerate(range(0, len(works), _MANY), start=1):
            yield partial(_render_works, f"{WORKS}{number:04d}.json.gz", works[first : first + _MANY])
        yield partial(_render_drawings, job)


def _render_works(path: str, works: Sequence[SignWork]) -> Iterator[OutFile]:
    table = Table()
    places = [table.put(work) for work in works]
    yield _packed(path, {"made_with": works[0].made_with, "nodes": table.nodes, "works": places})


def _render_drawings(job: Job) -> Iterator[OutFile]:
    recipes = {
        production_path(record, kind.suffix): recipe
        for record, _ in released_signs(job)
        for kind in _KINDS
        if (recipe := kind.recipe(job, record))
    }
    yield _packed(DRAWINGS, recipes)


def _packed(path: str, record: Mapping[str, object]) -> OutFile:
    text = json.dumps(record, separators=(",", ":"), allow_nan=False)
    return OutFile(path, gzip.compress(text.encode("ascii"), compresslevel=1, mtime=0))

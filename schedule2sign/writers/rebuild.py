"""What a later run takes over for signs that are as they were: nobody reads it, and nothing at the bench needs it."""

import gzip
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

from schedule2sign.fingerprint import digest_of
from schedule2sign.model.job import Job, SignWork
from schedule2sign.model.outfile import OutFile
from schedule2sign.plainform import Common, to_text
from schedule2sign.shelf import written_out
from schedule2sign.writers.pieces import PieceRecord
from schedule2sign.writers.protocol import Portion
from schedule2sign.writers.released import production_path
from schedule2sign.writers.sheets import Sheets
from schedule2sign.writers.sign_dxf import SignDxf
from schedule2sign.writers.sign_svg import SignSvg

FOLDER = "rebuild"
DRAWINGS = f"{FOLDER}/drawings.json.gz"  # what each production file was made of
WORKS = f"{FOLDER}/works-"
PIECES = f"{FOLDER}/pieces"  # what the pieces of each long document were made of
_MANY = 100  # works in a file
_KINDS = (SignDxf(), SignSvg())


class Rebuild:
    """Writes rebuild/drawings.json.gz, rebuild/works-0001.json.gz and so on.

    A file of works has a line of what they were made with, of common values and of digests, a line of the works themselves, and a
    line for the geometry and verdicts of each: what a run asks of every sign is read without what few need.
    """

    name = "rebuild"

    def render(self, job: Job) -> Iterator[OutFile]:
        for portion in self.portions(job):
            yield from portion()

    def portions(self, job: Job) -> Iterator[Portion]:
        works = [sign.work for sign in job.signs if sign.work.key]
        for number, first in enumerate(range(0, len(works), _MANY), start=1):
            yield partial(_render_works, f"{WORKS}{number:04d}.json.gz", works[first : first + _MANY])
        yield partial(_render_drawings, job)


def _render_works(path: str, works: Sequence[SignWork]) -> Iterator[OutFile]:
    common = Common()
    light = to_text(tuple(replace(work, holder=None) for work in works), common)
    made = [written_out(work.holder, common) if work.holder is not None else "null" for work in works]
    head = {
        "made_with": works[0].made_with,
        "common": dict(sorted(common.texts.items())),
        "made": [digest_of(text) for text in made],
    }
    yield _packed(path, "\n".join([_json(head), light, *made]))


def _render_drawings(job: Job) -> Iterator[OutFile]:
    imprint = job.imprint
    recipes = {
        production_path(record, kind.suffix): recipe
        for record in job.signs
        if record.files
        for kind in _KINDS
        if (recipe := kind.recipe(record, imprint))
    }
    recipes |= {sheet.path: sheet.recipe for sheet in Sheets().keepables(job) if sheet.recipe}
    yield _packed(DRAWINGS, _json(recipes))


def pieces_path(path: str) -> str:
    """Where the record of a document's pieces lies."""
    return f"{PIECES}/{path}.json"


def render_record(path: str, record: PieceRecord) -> OutFile:
    """What a later run needs to know of the pieces of the document with this path."""
    return OutFile(pieces_path(path), lambda: (_json(record.plain()).encode("ascii"),))


def _json(record: Mapping[str, object]) -> str:
    return json.dumps(record, separators=(",", ":"), allow_nan=False)


def _packed(path: str, text: str) -> OutFile:
    return OutFile(path, gzip.compress(text.encode("ascii"), compresslevel=1, mtime=0))

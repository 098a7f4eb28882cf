"""What a later run takes over for signs that are as they were: nobody reads it, and nothing at the bench needs it."""

import json
import zlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import partial

from schedule2sign.model.job import Job, SignWork
from schedule2sign.model.outfile import OutFile
from schedule2sign.plainform import Common, to_text
from schedule2sign.shelf import Kept, copy_kept, written_out
from schedule2sign.worktext import join_kept
from schedule2sign.writers.chunks import in_chunks
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.pieces import Earlier, Piece, PieceDocument, PieceRecord
from schedule2sign.writers.released import production_path
from schedule2sign.writers.sheets import Sheets
from schedule2sign.writers.sign_dxf import SignDxf
from schedule2sign.writers.sign_svg import SignSvg

FOLDER = "rebuild"
DRAWINGS = f"{FOLDER}/drawings.json.gz"  # what each production file was made of
WORKS = f"{FOLDER}/works.txt"
COMMON = "common"  # the piece of works.txt that has what is common to them
_KINDS = (SignDxf(), SignSvg())
_GZIP = 31  # the largest window, and a header that says no time


class Works:
    """Writes rebuild/works.txt: a piece for each sign's work, by its key, and one for what they have in common."""

    name = "works"

    def render(self, job: Job) -> Iterator[OutFile]:
        return (document.whole() for document in self.documents(job, Marks(job)))

    def documents(self, job: Job, marks: Marks) -> Iterator[PieceDocument]:  # noqa: ARG002 - a work has its key
        yield PieceDocument(WORKS, partial(_work_pieces, job))


def _work_pieces(job: Job, _earlier: Earlier) -> Iterator[Piece]:
    """The signs know themselves what was kept of them."""
    common = Common()
    for work in (sign.work for sign in job.signs if sign.work.key):
        yield Piece(_keep(work, common), work.key)
    yield Piece(f"{_json(dict(sorted(common.texts.items())))}\n".encode("ascii"), COMMON)


def _keep(work: SignWork, common: Common) -> bytes:
    holder = work.holder
    if isinstance(holder, Kept) and holder.tolerance_mm == work.tolerance_mm:
        return copy_kept(holder, common)
    light = to_text(replace(work, holder=None), common)
    return join_kept(light, written_out(holder, common) if holder is not None else "null")


class Drawings:
    """Writes rebuild/drawings.json.gz: what each production file was made of."""

    name = "drawings"

    def render(self, job: Job) -> Iterator[OutFile]:
        yield OutFile(DRAWINGS, lambda: in_chunks(_packed(_object(_recipes(job)))))


def _recipes(job: Job) -> Iterator[tuple[str, str]]:
    """The path of each production file, and the hash of what it is made of."""
    imprint = job.imprint
    for record in job.signs:
        if record.drawn_as:
            for kind in _KINDS:
                if recipe := kind.recipe(record, imprint):
                    yield production_path(record, kind.suffix), recipe
    yield from ((sheet.path, sheet.recipe) for sheet in Sheets().keepables(job) if sheet.recipe)


def pieces_path(path: str) -> str:
    """Where the record of a document's pieces lies."""
    return f"{FOLDER}/{path.removeprefix(f'{FOLDER}/').replace('/', '-')}.json"


def render_record(path: str, record: PieceRecord) -> OutFile:
    """What a later run needs to know of the pieces of the document with this path."""
    return OutFile(pieces_path(path), lambda: (_json(record.plain()).encode("ascii"),))


def _json(record: Mapping[str, object]) -> str:
    return json.dumps(record, separators=(",", ":"), allow_nan=False)


def _object(members: Iterable[tuple[str, str]]) -> Iterator[str]:
    """JSON of texts by name, in pieces."""
    start = "{"
    for name, value in members:
        yield f"{start}{json.dumps(name)}:{json.dumps(value)}"
        start = ","
    yield "{}" if start == "{" else "}"


def _packed(texts: Iterable[str]) -> Iterator[bytes]:
    packer = zlib.compressobj(1, zlib.DEFLATED, _GZIP)
    for text in texts:
        yield packer.compress(text.encode("ascii"))
    yield packer.flush()

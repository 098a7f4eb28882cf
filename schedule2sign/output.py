"""Every document of a job into the output folder: rendered and written by one process or several."""

from collections.abc import Callable, Container, Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path

from schedule2sign.keeping import KeptFiles, find_files
from schedule2sign.model.job import Imprint, Job, SignRecord
from schedule2sign.model.outfile import KeptFile, OutFile
from schedule2sign.workers import MANY_SIGNS, Progress, growing, scatter, settled
from schedule2sign.writers.chunks import in_chunks
from schedule2sign.writers.commit import Place
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.pieces import PieceDocument, PieceRecord
from schedule2sign.writers.protocol import InPortions, Keepable, KeepsFiles, OfPieces, SignFiles, Writer
from schedule2sign.writers.rebuild import render_record
from schedule2sign.writers.released import production_path

_FEW = 32  # signs whose files are written at a time


@growing()
def write_documents(
    job: Job, place: Place, writers: Sequence[Writer], earlier: Sequence[Path], progress: Progress, workers: int
) -> None:
    """Every document into its place, but for what is drawn already; of that only what the job releases.

    Args:
        earlier: output folders of earlier runs, whose production files are taken over where they would be the same.
    """
    place.keep_only({path for record in job.signs for path in record.files})
    kept, marks = find_files(earlier), Marks(job)
    with settled():
        portions = list(_portions(job, writers, kept, marks, place))
        hands = workers if len(job.signs) >= MANY_SIGNS else 1
        # Who renders a file writes it: nothing that long goes from one process to another.
        done = scatter(lambda index: [place.put(file) for file in portions[index]()], len(portions), hands)
        for count, (_, files) in enumerate(done, start=1):
            for file in files:
                place.add(file)
            progress("writing", count, len(portions))


def _portions(
    job: Job, writers: Sequence[Writer], kept: KeptFiles, marks: Marks, drawn: Container[str]
) -> Iterator[Callable[[], Iterable[OutFile | KeptFile]]]:
    """What is rendered, in pieces that can be rendered at the same time."""
    of_signs: list[SignFiles] = []
    for writer in writers:
        if isinstance(writer, SignFiles):
            of_signs.append(writer)
        elif isinstance(writer, OfPieces):
            yield from (partial(_write_pieces, document, kept) for document in writer.documents(job, marks))
        elif isinstance(writer, KeepsFiles):
            yield from (partial(_write_keepable, file, kept) for file in writer.keepables(job))
        elif isinstance(writer, InPortions):
            yield from writer.portions(job)
        else:
            yield partial(writer.render, job)
    # Who has fetched the geometry of some signs draws all their files.
    left = [record for record in job.signs if not all(path in drawn for path in record.files)]
    for first in range(0, len(left), _FEW):
        yield partial(_write_signs, of_signs, left[first : first + _FEW], job.imprint, kept)


def _write_pieces(document: PieceDocument, kept: KeptFiles) -> Iterator[OutFile]:
    """The document, and then what a later run needs to know of its pieces."""
    record = PieceRecord()
    with kept.open(document.path) as earlier:
        yield OutFile(document.path, lambda: in_chunks(record.follow(document.pieces(earlier))))
    yield render_record(document.path, record)


def _write_keepable(file: Keepable, kept: KeptFiles) -> Iterator[OutFile | KeptFile]:
    yield kept.find(file.path, file.recipe) or file.render()


def _write_signs(
    writers: Sequence[SignFiles], records: Sequence[SignRecord], imprint: Imprint, kept: KeptFiles
) -> Iterator[OutFile | KeptFile]:
    """The files of some released signs: those that would be the same are taken over, the others drawn."""
    for writer in writers:
        left = []
        for record in records:
            path = production_path(record, writer.suffix)
            found = kept.find(path, writer.recipe(record, imprint))
            if found is None:
                left.append(record)
            else:
                yield found
        yield from writer.draw(left, imprint)

"""What earlier runs left in their output folders for the next one to take over: only what is whole and was made alike."""

import gzip
import hashlib
import json
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from schedule2sign.model.job import SignWork
from schedule2sign.plainform import take
from schedule2sign.writers.commit import written_sums
from schedule2sign.writers.rebuild import FOLDER

# All that a file which no run of this program wrote could make of the reading; whatever it is, the signs are made anew.
_DAMAGE = (OSError, EOFError, zlib.error, ValueError, KeyError, IndexError, TypeError, AttributeError, RecursionError)


@dataclass(frozen=True, slots=True)
class Kept:
    """Works by their key."""

    works: dict[str, SignWork] = field(default_factory=dict)


def read_kept(folders: Sequence[Path], made_with: str) -> Kept:
    """What can be taken over from these output folders; nothing from one that is missing, damaged or made otherwise.

    Args:
        made_with: hash of what the job's signs are made with; only work made with the same is read.
    """
    kept = Kept()
    for folder in folders:
        for path, digest in written_sums(folder).items():
            if path.startswith(f"{FOLDER}/"):
                kept.works.update(_read_works(folder / path, digest, made_with))
    return kept


def _read_works(path: Path, digest: str, made_with: str) -> dict[str, SignWork]:
    try:
        data = path.read_bytes()
        if hashlib.sha256(data).hexdigest() != digest:
            return {}
        record = json.loads(gzip.decompress(data))
        if record["made_with"] != made_with:
            return {}
        values = take(record["nodes"])
        works = [values[place] for (place,) in record["works"]]
    except _DAMAGE:
        return {}
    return {work.key: work for work in works if isinstance(work, SignWork) and work.made_with == made_with}

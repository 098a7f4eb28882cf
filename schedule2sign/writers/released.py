"""The released signs, and the last check before anything that can be cut is written."""

from collections.abc import Iterator

from schedule2sign.model.flag import holds
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.shape import SignLayout


def released_signs(job: Job) -> Iterator[tuple[SignRecord, SignLayout]]:
    """Every released sign with its layout, in the job's order.

    Raises:
        ValueError: a sign is released although it is flagged HOLD, has no layout or no id (our bug).
    """
    for record in job.signs:
        if record.status is not Status.RELEASED:
            continue
        sign_id = record.request.sign_id
        if record.layout is None:
            raise ValueError(f"sign {sign_id!r} is released without a layout")
        if holds(record.flags):
            raise ValueError(f"sign {sign_id!r} is released although a flag holds it")
        yield record, record.layout


def production_path(record: SignRecord, suffix: str) -> str:
    """Path of the sign's production file of this kind.

    Raises:
        ValueError: the sign's record does not list the file, so nobody could account for it.
    """
    path = f"signs/{record.request.sign_id}{suffix}"
    if path not in record.files:
        raise ValueError(f"sign {record.request.sign_id!r} does not list the file {path!r}")
    return path

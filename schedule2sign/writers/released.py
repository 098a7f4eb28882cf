"""The released signs, and the last check before anything that can be cut is written."""

from collections.abc import Iterable, Iterator

from schedule2sign.fingerprint import digest_of
from schedule2sign.model.flag import holds
from schedule2sign.model.job import SignRecord, SignWork, Status
from schedule2sign.model.shape import SignLayout


def released_signs(records: Iterable[SignRecord]) -> Iterator[tuple[SignRecord, SignLayout]]:
    """Every released sign with its layout, in the order given.

    Raises:
        ValueError: a sign is released although it is flagged HOLD, has no layout or no id (our bug).
    """
    for record in records:
        if record.status is Status.RELEASED:
            yield released(record)


def released(record: SignRecord) -> tuple[SignRecord, SignLayout]:
    """A sign with its layout.

    Raises:
        ValueError: it may not be cut (our bug).
    """
    check_released(record)
    layout = record.layout
    if layout is None:
        raise ValueError(f"sign {record.request.sign_id!r} is released without a layout")
    return record, layout


def check_released(record: SignRecord) -> None:
    """Refuse a sign that may not be cut.

    Raises:
        ValueError: it is held, flagged HOLD, or has no layout (our bug).
    """
    sign_id = record.request.sign_id
    if record.plate is None or record.status is not Status.RELEASED:
        raise ValueError(f"sign {sign_id!r} is {record.status.value} {'with' if record.plate else 'without'} a layout")
    if holds(record.flags):
        raise ValueError(f"sign {sign_id!r} is released although a flag holds it")


def recipe_of(works: Iterable[SignWork], *said: str) -> str:
    """Hash of the works of signs, which know the program too, and of what their file says besides.

    It is "" where a sign is of another origin.
    """
    keys = [work.key for work in works]
    return digest_of(keys, *said) if all(keys) else ""


def production_path(record: SignRecord, suffix: str) -> str:
    """Path of the sign's production file of this kind.

    Raises:
        ValueError: the sign's record does not list the file, so nobody could account for it.
    """
    path = f"signs/{record.request.sign_id}{suffix}"
    if path not in record.files:
        raise ValueError(f"sign {record.request.sign_id!r} does not list the file {path!r}")
    return path

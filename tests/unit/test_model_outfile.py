"""A file to be written, whole or made chunk by chunk: the same bytes either way, at every asking and in every process."""

import pickle
from collections.abc import Iterator

from schedule2sign.model.outfile import OutFile


def test_whole_bytes_are_one_chunk() -> None:
    file = OutFile("a/b", b"xyz")
    assert (file.path, file.data, list(file.chunks())) == ("a/b", b"xyz", [b"xyz"])


def test_chunks_are_made_when_they_are_asked_for_and_again_every_time() -> None:
    asked: list[bytes] = []

    def make() -> Iterator[bytes]:
        for part in (b"x", b"yz"):
            asked.append(part)
            yield part

    file = OutFile("a", make)
    assert not asked
    chunks = file.chunks()
    assert next(chunks) == b"x"
    assert asked == [b"x"]
    assert list(chunks) == [b"yz"]
    assert file.data == b"".join(file.chunks()) == b"xyz"
    assert file == OutFile("a", b"xyz") != OutFile("b", b"xyz")
    assert hash(file) == hash(OutFile("a", b"xyz"))


def test_another_process_gets_bytes() -> None:
    sent = pickle.loads(pickle.dumps(OutFile("a", lambda: iter([b"x", b"y"]))))  # noqa: S301 - our own
    assert (sent.path, sent.data) == ("a", b"xy")

"""Made signs put away and fetched again are what they were, for this process and for one forked from it."""

import errno
import importlib.util
import re
import sys
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from types import ModuleType

import pytest

from schedule2sign import shelf as shelf_module
from schedule2sign.errors import InputError
from schedule2sign.model.job import InHand, Made, MadeSign, SignWork
from schedule2sign.plainform import DIGEST, Common, from_text, to_text
from schedule2sign.shelf import Kept, Shelf, Shelved, put_away, written_out
from schedule2sign.workers import scatter
from schedule2sign.worktext import join_kept, split_kept


@cache
def sample() -> ModuleType:
    path = Path(__file__).resolve().parents[1] / "golden" / "sample_job.py"
    spec = importlib.util.spec_from_file_location("sample_job_for_shelf", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@cache
def made() -> tuple[MadeSign, ...]:
    works = [sign.work for sign in sample().sample_job().signs if sign.plate is not None]
    assert len(works) == 3
    return tuple(_content(work.holder.open()) for work in works)


def _content(one: MadeSign) -> MadeSign:
    """Without what only says where the sign comes from, as the signmaker makes it."""
    return replace(one, layout=replace(one.layout, request=replace(one.layout.request, changes=())))


def told(signs: Iterable[Made]) -> list[str]:
    """All that is in them; an outline is equal to itself alone."""
    return [repr((sign.layout, sign.verdicts, sign.cut, sign.cutting, sign.drilled)) for sign in signs]


def filled(keep_open: int = 10) -> tuple[Shelf, list[Shelved]]:
    """The sample's signs, put away by two processes of which each tells what it found to be common."""
    shelf, places = Shelf(keep_open=keep_open), []
    for part in (made()[:1], made()[1:]):
        packed, common = put_away([InHand(made=one) for one in part], Common())
        shelf.common.texts.update(common)
        places += [shelf.put(one) for one in packed]
    return shelf, places


def test_what_was_put_away_is_what_comes_back() -> None:
    shelf, places = filled(keep_open=1)
    for _ in range(2):  # the second time all but one have been closed since
        assert told(place.open() for place in places) == told(made())
    last = places[-1].open()
    assert places[-1].open() is last
    assert told([places[0].open()]) == told(made()[:1])
    assert places[-1].open() is not last
    assert shelf.common.texts


def left_behind(folder: Path, made_text: str, shelf: Shelf) -> Kept:
    """A made sign in a file of works, as an earlier run left it."""
    data = join_kept("null", made_text)
    (folder / "works.txt").write_bytes(data)
    with (folder / "works.txt").open("rb") as file:
        return Kept(shelf, 0, len(data), shelf.lend(file.fileno()), 0.0)


def test_the_text_of_a_sign_is_the_same_wherever_it_lies(tmp_path: Path) -> None:
    """A later run finds the same bytes whether a sign was in hand, came from a process, or from an earlier run."""
    _, places = filled()
    for one, place in zip(made(), places, strict=True):
        common, again, kept = Common(), Common(), Shelf()
        text = written_out(InHand(made=one), common)
        assert written_out(place, again) == text
        kept.common.texts.update(common.texts)
        left = left_behind(tmp_path, text, kept)
        third = Common()
        assert written_out(left, third) == text
        assert common.texts == again.texts == third.texts
        assert told([left.open()]) == told([one])


def test_a_process_tells_only_what_is_new_in_common() -> None:
    common = Common()
    _, first = put_away([InHand(made=made()[0])], common)
    _, second = put_away([InHand(made=made()[0])], common)
    assert first
    assert second == {}


def test_a_forked_process_reads_what_was_put_away_before() -> None:
    _, places = filled()
    found = dict(scatter(lambda at: told([places[at].open()]), len(places), 2))
    assert found == {at: told([one]) for at, one in enumerate(made())}


@pytest.mark.parametrize("part", ["layout", "verdicts", "cut", "cutting", "drilled"])
@pytest.mark.parametrize(
    "text", ["[1, 2]", '["Box",0.0,0.0,1.0,1.0]', '["Plate"]', '["@","00"]', "[", "", "1"], ids=repr
)
def test_what_no_run_of_ours_left_is_named_when_it_is_asked_for(text: str, part: str, tmp_path: Path) -> None:
    opened = left_behind(tmp_path, "\t".join([text] * 5), Shelf()).open()
    with pytest.raises(InputError, match="--anew"):
        getattr(opened, part)


@pytest.mark.parametrize("count", [1, 4, 6])
def test_a_text_of_more_or_fewer_parts_is_none_of_a_sign(count: int, tmp_path: Path) -> None:
    place = left_behind(tmp_path, "\t".join(["null"] * count), Shelf())
    with pytest.raises(InputError, match="--anew"):
        place.open()


@pytest.mark.parametrize(
    ("owner", "name", "error"),
    [
        ("os", "pwrite", OSError(errno.ENOSPC, "No space left on device")),
        (
            "tempfile",
            "TemporaryFile",
            FileNotFoundError(errno.ENOENT, "No usable temporary directory found in ['/tmp']"),
        ),
    ],
)
def test_a_temporary_file_that_cannot_be_written_is_named(
    owner: str, name: str, error: OSError, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> int:
        raise error

    monkeypatch.setattr(getattr(shelf_module, owner), name, refuse)
    with pytest.raises(InputError, match=f"{re.escape(error.strerror)}.*TMPDIR"):
        Shelf().put(b"a sign")


def test_a_kept_work_is_read_only_as_it_was_written(tmp_path: Path) -> None:
    common = Common()
    text = written_out(InHand(made=made()[0]), common)
    data = join_kept("null", text)
    digests, light, found = split_kept(data)
    assert (light, found) == (b"null", text.encode("ascii"))
    assert {digests[place : place + DIGEST].decode() for place in range(0, len(digests), DIGEST)} <= set(common.texts)
    assert digests
    for place in range(0, len(data), 997):
        spoiled = data[:place] + bytes([data[place] ^ 1]) + data[place + 1 :]
        with pytest.raises(ValueError, match=r"not as it was written|unpack"):
            split_kept(spoiled)


def test_another_holder_cannot_be_written_out() -> None:
    @dataclass(frozen=True)
    class Other:
        def open(self) -> MadeSign:
            return made()[0]

    with pytest.raises(TypeError, match="Other"):
        written_out(Other(), Common())


def test_what_is_equal_in_many_works_is_one() -> None:
    shelf, works = Shelf(), [sign.work for sign in sample().sample_job().signs if sign.plate is not None]
    copies = [from_text(to_text(work, common := Common()), Common(common.texts)) for work in _bare(works)]
    shared = [shelf.shared.work(work) for work in copies]
    assert shared == copies
    assert len({id(work.plate.build) for work in copies}) > len({id(work.plate.build) for work in shared}) == 1
    assert len({id(work.plate.cell_size) for work in shared}) == 1


def _bare(works: list[SignWork]) -> list[SignWork]:
    return [replace(work, holder=None) for work in works]

"""Where signs are made: by one process or several, each sign drawn by who made it, while its geometry is in hand."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from schedule2sign.keeping import KeptWorks
from schedule2sign.model.flag import Flag
from schedule2sign.model.job import SignRecord, SignWork, Status
from schedule2sign.model.sign import SignRequest
from schedule2sign.shelf import Shelf, put_away
from schedule2sign.signmaker import SignMaker
from schedule2sign.workers import MANY_SIGNS, Progress, scatter
from schedule2sign.writers.commit import Place, Written
from schedule2sign.writers.protocol import SignFiles

MOST_IN_HAND = 6000  # signs whose geometry stays in memory as it was made
_GROUP = 16  # signs made at a time: what one process sends another
_MadeAway = tuple[SignWork, tuple[Flag, ...], Status, tuple[str, ...]]  # a record without its request and geometry


@dataclass(frozen=True, slots=True)
class Desk:
    """Where signs are made, put away and, where the place for their files is known, drawn at once."""

    maker: SignMaker
    shelf: Shelf
    place: Place | None
    writers: Sequence[SignFiles]

    def make(self, requests: Sequence[SignRequest]) -> tuple[list[SignRecord], list[Written]]:
        records = [self.maker.make(request) for request in requests]
        if self.place is None:
            return records, []
        imprint = self.maker.imprint
        files = (file for writer in self.writers for file in writer.draw(records, imprint))
        return records, [self.place.put(file) for file in files]

    def count_in(self, drawn: Iterable[Written]) -> None:
        """Files that were drawn while their signs were made."""
        if self.place is not None:
            for file in drawn:
                self.place.add(file)

    def make_away(
        self, requests: Sequence[SignRequest]
    ) -> tuple[list[_MadeAway], list[Written], list[bytes], dict[str, str]]:
        """The same for another process, which knows the requests: geometry as texts."""
        records, drawn = self.make(requests)
        # Each process tells once what it found to be common.
        texts, common = put_away((record.work.holder for record in records), self.shelf.common)
        made = [(replace(record.work, holder=None), record.flags, record.status, record.drawn_as) for record in records]
        return made, drawn, texts, common

    def take_in(
        self,
        requests: Sequence[SignRequest],
        made: Sequence[_MadeAway],
        texts: Sequence[bytes],
        common: Mapping[str, str],
    ) -> Iterator[SignRecord]:
        """Signs that were made away."""
        self.shelf.common.texts.update(common)
        places = iter([self.shelf.put(text) for text in texts])
        for request, (work, flags, status, drawn_as) in zip(requests, made, strict=True):
            holder = next(places) if work.plate is not None else None
            yield SignRecord(
                request=request,
                work=self.shelf.shared.work(replace(work, holder=holder)),
                flags=flags,
                status=status,
                drawn_as=self.shelf.shared.one(drawn_as),
            )


def make_signs(
    desk: Desk, requests: Sequence[SignRequest], kept: KeptWorks, workers: int, progress: Progress
) -> list[SignRecord]:
    """Every sign, in the order of the requests; what was kept is put in its place here, the rest is shared out."""
    maker = desk.maker
    found = ((at, kept.get(maker.key(one))) for at, one in enumerate(requests if kept else ()))
    made = {at: maker.finish(requests[at], maker.take_over(work)) for at, work in found if work is not None}
    if made:
        progress("taking over unchanged signs", len(made), len(made))
    new = [at for at in range(len(requests)) if at not in made]
    groups = [new[first : first + _GROUP] for first in range(0, len(new), _GROUP)]
    hands = workers if len(new) >= MANY_SIGNS and len(groups) > 1 else 1
    if hands == 1 and len(new) <= MOST_IN_HAND:
        for group in groups:
            records, drawn = desk.make([requests[at] for at in group])
            made.update(zip(group, records, strict=True))
            desk.count_in(drawn)
            progress("laying out signs", len(made), len(requests))
    else:
        away = scatter(lambda index: desk.make_away([requests[at] for at in groups[index]]), len(groups), hands)
        for index, (bare, drawn, texts, common) in away:
            group = groups[index]
            made.update(zip(group, desk.take_in([requests[at] for at in group], bare, texts, common), strict=True))
            desk.count_in(drawn)
            progress("laying out signs", len(made), len(requests))
    desk.shelf.shared.forget()
    return [made[at] for at in range(len(requests))]

"""Two issues of a job, compared sign by sign."""

import tomllib
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from difflib import SequenceMatcher
from functools import cache
from importlib.resources import files

from schedule2sign.model.revision import ChangeKind, Comparison, FieldChange, RowChange, SignChange, Stage
from schedule2sign.revision.issue import Issue, IssuedRow, IssuedSign
from schedule2sign.revision.matching import Matching, find_chains, match_signs
from schedule2sign.revision.refusal import refuse_strangers

_ALIKE = 0.7  # share of letters two words have in common to be told apart by letters


def compare_issues(old: Issue, new: Issue, stages: Mapping[str, Stage] | None = None) -> Comparison:
    """Every sign of both issues once, with what changed, from which cell, and what to do.

    Args:
        stages: sign id of the old issue -> how far it had come; a sign not named is "released" or "not released" as the
            old issue says.

    Raises:
        InputError: too many signs of the old issue are not in the new one to be the same building.
    """
    refuse_strangers(old, new)
    matching = match_signs(old.signs, new.signs)
    changes = tuple(_Comparer(old, new, stages or {}).changes(matching))
    counts = Counter(change.kind for change in changes)
    return Comparison(
        old=old.label,
        new=new.label,
        changes=changes,
        totals=tuple((kind, counts[kind]) for kind in ChangeKind if counts[kind]),
        rows=tuple(_row_changes(old, new)),
        alerts=tuple(_alerts(old, new, counts)),
    )


class _Comparer:
    def __init__(self, old: Issue, new: Issue, stages: Mapping[str, Stage]) -> None:
        self._old = old
        self._new = new
        self._stages = stages
        self._rows = {(row.level, row.door, row.number): row for row in new.rows}

    def changes(self, matching: Matching) -> Iterator[SignChange]:
        """In the order of the new issue, deleted signs last in the order of the old."""
        chains = find_chains(matching.renumbered)
        found = {sign.sign_id: self._new_sign(sign) for sign in matching.come}
        for before, after in (*matching.same_id, *matching.moved, *matching.renumbered):
            found[after.sign_id] = self._pair(before, after, chains.get(before.sign_id, ""))
        yield from (found[sign.sign_id] for sign in self._new.signs)
        order = {sign.sign_id: place for place, sign in enumerate(self._old.signs)}
        yield from map(self._deleted, sorted(matching.gone, key=lambda sign: order[sign.sign_id]))

    def _new_sign(self, sign: IssuedSign) -> SignChange:
        return SignChange(
            kind=ChangeKind.NEW,
            sign_id=sign.sign_id,
            text_after=sign.message,
            marked_after=sign.message,
            fields=(FieldChange(field="sign", before="", after="listed", cell_after=self._new.cell(sign.row, "")),),
            action=_action(ChangeKind.NEW, Stage.NOT_RELEASED, held=not sign.released),
            held=not sign.released,
            pieces=sign.quantity if sign.released else 0,
        )

    def _deleted(self, sign: IssuedSign) -> SignChange:
        place = dict(sign.place)
        row = self._rows.get((place["level"], place["door"], dict(sign.data)["room number"]))
        stage = self._stage(sign)
        return SignChange(
            kind=ChangeKind.DELETED,
            sign_id=sign.sign_id,
            old_id=sign.sign_id,
            text_before=sign.message,
            marked_before=sign.message,
            fields=(FieldChange(field="sign", before="listed", after="", cell_before=self._old.cell(sign.row, "")),),
            stage=stage,
            action=_action(ChangeKind.DELETED, stage, held=False),
            why=f"{self._new.cell(row.row, '')}: {row.outcome}" if row else "no row of the new schedule makes it",
        )

    def _pair(self, before: IssuedSign, after: IssuedSign, chain: str) -> SignChange:
        kind, stage, held = _kind(before, after), self._stage(before), not after.released
        marked_before, marked_after = _mark(before.message, after.message)
        return SignChange(
            kind=kind,
            sign_id=after.sign_id,
            old_id=before.sign_id,
            text_before=before.message,
            text_after=after.message,
            marked_before=marked_before,
            marked_after=marked_after,
            fields=tuple(self._fields(before, after)),
            stage=stage,
            action=_action(kind, stage, held=held),
            held=held,
            pieces=0 if held else _pieces(kind, before, after),
            chain=chain,
        )

    def _fields(self, before: IssuedSign, after: IssuedSign) -> Iterator[FieldChange]:
        pairs: list[tuple[str, str, str]] = [("sign id", before.sign_id, after.sign_id)]
        pairs.append(("raised text", before.message, after.message))
        if before.text == after.text:
            pairs.append(("lines", " / ".join(before.lines), " / ".join(after.lines)))
        pairs.append(("braille", before.cells, after.cells))
        pairs.append(("sign type", before.template, after.template))
        pairs.append(("plate mm", _size(before), _size(after)))
        pairs += [(name, old, new) for (name, old), (_, new) in zip(before.place, after.place, strict=True)]
        pairs += [(name, old, new) for (name, old), (_, new) in zip(before.data, after.data, strict=True)]
        pairs.append(("quantity", str(before.quantity), str(after.quantity)))
        pairs.append(("status", _status(before), _status(after)))
        differing = [pair for pair in pairs if pair[1] != pair[2]]
        if not differing and before.design != after.design:
            differing = [("geometry", before.design[:12], after.design[:12])]
        for name, old, new in differing:
            yield FieldChange(
                field=name,
                before=old,
                after=new,
                cell_before=self._old.cell(before.row, name),
                cell_after=self._new.cell(after.row, name),
            )

    def _stage(self, sign: IssuedSign) -> Stage:
        return self._stages.get(sign.sign_id) or (Stage.RELEASED if sign.released else Stage.NOT_RELEASED)


def _kind(before: IssuedSign, after: IssuedSign) -> ChangeKind:
    material = (before.template, before.size_mm) != (after.template, after.size_mm)
    laid_out = before.design and after.design
    same_names = before.names == after.names
    tests = (
        (before.number != after.number and same_names and bool(before.names), ChangeKind.RENUMBER),
        (before.text != after.text, ChangeKind.TEXT),
        (before.cells != after.cells, ChangeKind.BRAILLE),
        (bool(laid_out) and material, ChangeKind.MATERIAL),
        (bool(laid_out) and before.design != after.design, ChangeKind.LAYOUT),
        (before.sign_id != after.sign_id or before.place != after.place, ChangeKind.LOCATION),
        (before.quantity != after.quantity, ChangeKind.QUANTITY),
        (before.released != after.released, ChangeKind.STATUS),
        (before.data != after.data, ChangeKind.LIST),
    )
    return next((kind for met, kind in tests if met), ChangeKind.UNCHANGED)


def _pieces(kind: ChangeKind, before: IssuedSign, after: IssuedSign) -> int:
    """Pieces to make of a released sign; one that was held before was never made, whatever else changed."""
    make = _actions()[kind]["make"]
    if make == "all" or not before.released:
        return after.quantity
    return max(0, after.quantity - before.quantity)


def _action(kind: ChangeKind, stage: Stage, *, held: bool) -> str:
    text = _actions()[kind][stage.replace(" ", "_")]
    if held and kind is not ChangeKind.STATUS and kind is not ChangeKind.UNCHANGED:
        return f"held: settle its questions first; then {text}"
    return text


@cache
def _actions() -> dict[str, dict[str, str]]:
    return tomllib.loads(files("schedule2sign.revision").joinpath("actions.toml").read_text(encoding="utf-8"))


def _mark(before: str, after: str) -> tuple[str, str]:
    """Both texts with what differs in brackets: letters of words that are nearly alike, else whole words."""
    marked: tuple[list[str], list[str]] = ([], [])
    olds, news = before.split(" "), after.split(" ")
    for what, a, b, c, d in SequenceMatcher(None, olds, news, autojunk=False).get_opcodes():
        if what == "equal":
            pair = (" ".join(olds[a:b]), " ".join(news[c:d]))
        elif b - a == d - c == 1 and SequenceMatcher(None, olds[a], news[c], autojunk=False).ratio() >= _ALIKE:
            pair = _mark_letters(olds[a], news[c])
        else:
            pair = (f"[{' '.join(olds[a:b])}]" if a < b else "", f"[{' '.join(news[c:d])}]" if c < d else "")
        for side, text in zip(marked, pair, strict=True):
            side += [text] if text else []
    return " ".join(marked[0]), " ".join(marked[1])


def _mark_letters(before: str, after: str) -> tuple[str, str]:
    old, new = "", ""
    for what, a, b, c, d in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        same = what == "equal"
        old += before[a:b] if same or a == b else f"[{before[a:b]}]"
        new += after[c:d] if same or c == d else f"[{after[c:d]}]"
    return old, new


def _size(sign: IssuedSign) -> str:
    return f"{sign.size_mm[0]:g} x {sign.size_mm[1]:g}" if sign.size_mm else "not laid out"


def _status(sign: IssuedSign) -> str:
    return "released" if sign.released else "held"


def _row_changes(old: Issue, new: Issue) -> Iterator[RowChange]:
    before, after = _rows_by_key(old), _rows_by_key(new)
    for key in dict.fromkeys((*after, *before)):
        olds, news = before.get(key, []), after.get(key, [])
        then, now = sorted(row.outcome for row in olds), sorted(row.outcome for row in news)
        if then != now:
            issue, rows = (new, news) if news else (old, olds)
            yield RowChange(
                label=" ".join(part for part in key if part) or "a row without door, number and name",
                before="; ".join(then),
                after="; ".join(now),
                source=issue.cell(rows[0].row, ""),
            )


def _rows_by_key(issue: Issue) -> dict[tuple[str, ...], list[IssuedRow]]:
    rows: defaultdict[tuple[str, ...], list[IssuedRow]] = defaultdict(list)
    for row in issue.rows:
        rows[(row.level, row.door, row.number, row.name)].append(row)
    return rows


def _alerts(old: Issue, new: Issue, counts: Mapping[ChangeKind, int]) -> Iterator[str]:
    before = dict(old.ground)
    for name, value in new.ground:
        if before.get(name) != value:
            yield f"{name} was {before.get(name, 'not recorded')} and is {value}"
    changed = sum(count for kind, count in counts.items() if kind is not ChangeKind.UNCHANGED)
    if changed and old.revision == new.revision:
        yield f"both issues are revision {new.revision}: give the new one its own, or the shop cannot tell their files apart"
    if counts.get(ChangeKind.BRAILLE):
        yield (
            f"{counts[ChangeKind.BRAILLE]} signs keep their raised text and change their braille: have every one read "
            "again by a person qualified in the code"
        )

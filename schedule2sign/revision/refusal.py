"""Two issues that are not of one building are not compared, and the likely cause is named."""

from schedule2sign.errors import InputError
from schedule2sign.revision.issue import Issue, IssuedSign

MOST_GONE = 0.4
_FEW = 5


def refuse_strangers(old: Issue, new: Issue) -> None:
    """Refuse where more than 40 % of the old signs' ids are not in the new issue.

    Raises:
        InputError: with the count and the likely cause.
    """
    new_ids = {sign.sign_id for sign in new.signs}
    gone = [sign for sign in old.signs if sign.sign_id not in new_ids]
    if len(gone) < _FEW or len(gone) <= MOST_GONE * len(old.signs):
        return
    old_ids = {sign.sign_id for sign in old.signs}
    come = [sign for sign in new.signs if sign.sign_id not in old_ids]
    raise InputError(
        f"{len(gone)} of {len(old.signs)} signs of {old.label} are not in {new.label}: that is no revision of one list. "
        f"{_cause(old, new, gone, come)}"
    )


def _cause(old: Issue, new: Issue, gone: list[IssuedSign], come: list[IssuedSign]) -> str:
    if old.job != new.job:
        return f"The job id was {old.job} and is {new.job}: it starts every sign id. Give both issues one [job] id."
    levels = {dict(sign.place)["level"] for sign in gone}
    new_levels = {dict(sign.place)["level"] for sign in new.signs}
    lost = sorted(level or "no level" for level in levels if level not in new_levels)
    marks = {(dict(sign.place)["door"], sign.message) for sign in come}
    if sum((dict(sign.place)["door"], sign.message) in marks for sign in gone) > len(gone) / 2:
        return (
            "The same doors stand in both, on levels that are read differently "
            f"({', '.join(lost) or 'see the level column'}): check the level column (--column level=HEADER)."
        )
    if not come:
        where = f" Levels missing: {', '.join(lost)}." if lost else ""
        return f"The new issue holds only part of the old one.{where} Give all schedule files of the revision at once."
    old_numbers, new_numbers = _numbers(gone), _numbers(come)
    if old_numbers and len(old_numbers & new_numbers) > len(old_numbers) / 2:
        return (
            "The room numbers are the same and the ids are not: doors were told apart by another column. Check the "
            "door column (--column door=HEADER) and that rows have not lost their door marks."
        )
    return (
        "This looks like a different building, or numbers from another column: check the room-number column "
        "(--column number=HEADER)."
    )


def _numbers(signs: list[IssuedSign]) -> set[str]:
    return {sign.number for sign in signs if sign.number}

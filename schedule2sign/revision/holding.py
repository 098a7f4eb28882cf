"""What a person held stays held when the sign comes back under another id."""

from collections.abc import Iterable

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.revision.issue import Issue, IssuedSign
from schedule2sign.revision.matching import match_signs


def hold_again(old: Issue, new: Iterable[IssuedSign]) -> dict[str, Flag]:
    """A HOLD for each new sign that was another id's when a person held it: sign id -> flag.

    Under its own id the person's answer in the sign list still holds it, or is reported as out of date.
    """
    if not any(sign.person_held for sign in old.signs):
        return {}
    matching = match_signs(old.signs, tuple(new))
    return {
        after.sign_id: Flag(
            code="revision/was-held",
            severity=Severity.HOLD,
            message=f"A person held this sign in the earlier issue, where it was {before.sign_id} ({before.message}).",
            sign_id=after.sign_id,
            fix=f"Answer for {after.sign_id} in the sign list: accept releases it, hold keeps it.",
            who="shop",
        )
        for before, after in (*matching.moved, *matching.renumbered)
        if before.person_held
    }

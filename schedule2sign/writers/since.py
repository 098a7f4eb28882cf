"""What became of a sign since the issue before, in words."""

from schedule2sign.model.job import Job
from schedule2sign.model.revision import ChangeKind, SignChange


def changes_by_sign(job: Job) -> dict[str, str]:
    """Sign id -> what changed; only signs that did, none where no earlier issue was given."""
    if job.comparison is None:
        return {}
    return {
        change.sign_id: _words(change)
        for change in job.comparison.changes
        if change.kind not in (ChangeKind.UNCHANGED, ChangeKind.DELETED)
    }


def _words(change: SignChange) -> str:
    parts = [change.kind.value]
    if change.kind is not ChangeKind.NEW and change.text_before != change.text_after:
        parts.append(f"{change.text_before} -> {change.text_after}")
    parts += [f"{field.field}: {field.before or '(empty)'} -> {field.after or '(empty)'}" for field in change.fields]
    return "; ".join(dict.fromkeys(parts)) + (f". {change.action}" if change.action else "")

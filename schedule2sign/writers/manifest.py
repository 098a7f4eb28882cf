"""manifest.json: the record of the run for other programs; its field names are a contract."""

from collections.abc import Iterator
from dataclasses import asdict
from functools import partial
from pathlib import PurePath
from typing import Any

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.named import Change
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.rule import Outcome, Verdict
from schedule2sign.model.sign import Decision, RowOutcome
from schedule2sign.model.source import Source
from schedule2sign.writers.as_cut import describe_build, describe_cut
from schedule2sign.writers.bench_record import describe_bench
from schedule2sign.writers.drawing import ONE_LINE_CAUTION
from schedule2sign.writers.jsontext import item_text, json_pieces
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.pieces import Earlier, Piece, PieceDocument, take_or_make
from schedule2sign.writers.rulebook import close_rules, describe_rule, describe_waiver
from schedule2sign.writers.words import raised_lines

TOOL = "schedule2sign"
PATH = "manifest.json"
_MM_PLACES = 4


class Manifest:
    """Writes manifest.json."""

    name = "manifest"

    def render(self, job: Job) -> Iterator[OutFile]:
        return (document.whole() for document in self.documents(job, Marks(job)))

    def documents(self, job: Job, marks: Marks) -> Iterator[PieceDocument]:
        yield PieceDocument(PATH, partial(_pieces, job, marks))


def _pieces(job: Job, marks: Marks, earlier: Earlier) -> Iterator[Piece]:
    signs = (take_or_make(earlier, marks.of(record), partial(_render_sign, job, record)) for record in job.signs)
    for part in json_pieces({**_members(job), "signs": signs}):
        yield part if isinstance(part, Piece) else Piece(_encode(part))
    yield Piece(b"\n")


def _render_sign(job: Job, record: SignRecord) -> bytes:
    return _encode(item_text(_describe(job, record)))


def _encode(text: str) -> bytes:
    # A lone surrogate of a damaged cell cannot be written as UTF-8.
    return text.encode("utf-8", "replace")


def describe_job(job: Job) -> dict[str, Any]:
    """The whole document, "schema": 1."""
    members = {name: list(value) if isinstance(value, Iterator) else value for name, value in _members(job).items()}
    return {**members, "signs": [_describe(job, record) for record in job.signs]}


def list_job(job: Job) -> dict[str, Any]:
    """The document with what its list says of the signs, without what was measured on them."""
    return {**_members(job), "signs": map(list_sign, job.signs)}


def _describe(job: Job, record: SignRecord) -> dict[str, Any]:
    verdicts = record.verdicts
    return {
        **list_sign(record),
        "verdicts": _rules_by_outcome(verdicts),
        "close_to_limit": close_rules(verdicts, job.settings.tolerance_mm),
        "as_cut": describe_cut(job, record),
    }


def _members(job: Job) -> dict[str, Any]:
    """All but the signs; what is as long as the schedule is an iterator, so that it is not in memory all at once."""
    settings = job.settings
    return {
        "schema": 1,
        "caution": ONE_LINE_CAUTION,
        "tool": {"name": TOOL, "version": job.version},
        "job": {
            "id": settings.job,
            "title": settings.title,
            "revision": settings.revision,
            "numbers": settings.finality.value,
        },
        "inputs": [
            {"file": file.name, "sha256": file.sha256, "size_bytes": file.size_bytes} for file in job.schedule.inputs
        ],
        "tables": [asdict(table) for table in job.schedule.tables],
        "make": {
            "base_color": settings.base_color,
            "letter_color": settings.letter_color,
            "finish": settings.finish,
        },
        "standard": {**asdict(job.standard), "cell_size": _cell_size(job)},
        "rules": [describe_rule(rule) for rule in job.rule_book],
        "process_tolerance_mm": job.settings.tolerance_mm,
        "waivers": [describe_waiver(use) for use in job.waivers],
        # The name alone: a path would differ from one machine to the next.
        "font": {**asdict(job.font), "file": PurePath(job.font.file).name},
        "build": describe_build(job),
        "bench": describe_bench(job),
        "braille_engine": {
            "name": job.engine.name,
            "version": job.engine.version,
            "tables": [{"name": name, "sha256": sha256} for name, sha256 in job.engine.tables],
        },
        "braille_check": {
            "code": job.braille_code,
            "distinct_lines": len(job.braille_lines),
            "to_check": [term.term for term in job.risks],
            "signed": [asdict(term) for term in settings.lexicon.checked],
        },
        "accounting": {
            **asdict(job.accounting),
            "rows_by_kind": dict(job.accounting.rows_by_kind),
            "outcomes": dict(job.accounting.outcomes),
            "unsigned_reasons": dict(job.accounting.unsigned_reasons),
        },
        "rows_without_a_sign": (
            _describe_row(decision) for decision in job.decisions if decision.outcome is not RowOutcome.SIGNED
        ),
        "flags": map(describe_flag, job.flags),
    }


def list_sign(record: SignRecord) -> dict[str, Any]:
    """The entry of one sign, without what was measured on it."""
    request, plate = record.request, record.plate
    return {
        "id": request.sign_id,
        "source": _describe_source(request.source),
        "door": request.door,
        "room_number": request.room_number,
        "level": request.level,
        "name_as_given": request.name_as_given,
        "messages": [{"role": message.role.value, "text": message.text} for message in request.messages],
        "lines": list(raised_lines(record)),
        "braille": [{"text": line.text, "cells": line.cells, "back": line.back} for line in record.braille],
        "template": request.template,
        "pictogram": request.pictogram,
        "insert_text": request.insert_text,
        "side": request.side.value,
        "hand": request.hand,
        "quantity": request.quantity,
        "rule": request.rule,
        "reason": request.reason,
        "changes": [_describe_change(change) for change in request.changes],
        "width_mm": round(plate.width_mm, _MM_PLACES) if plate else None,
        "height_mm": round(plate.height_mm, _MM_PLACES) if plate else None,
        "status": record.status.value,
        "flags": [_describe_sign_flag(flag) for flag in record.flags],
        "files": list(record.files),
        "design": record.design,
    }


def _describe_row(decision: Decision) -> dict[str, Any]:
    row = decision.row
    return {
        "source": _describe_source(row.raw.source),
        "door": row.door,
        "room_number": row.room_number,
        "level": row.level,
        "name_as_given": row.name_as_given,
        "outcome": decision.outcome.value,
        "rule": decision.rule,
        "reason": decision.reason,
        "sign_ids": list(decision.sign_ids),
        "flags": [_describe_sign_flag(flag) for flag in decision.flags],
    }


def _describe_change(change: Change) -> dict[str, str]:
    return {"rule": change.rule, "field": change.field, "before": change.before, "after": change.after}


def _rules_by_outcome(verdicts: tuple[Verdict, ...]) -> dict[str, list[str]]:
    by_outcome = {
        outcome.value: [verdict.rule for verdict in verdicts if verdict.outcome is outcome] for outcome in Outcome
    }
    return {outcome: rules for outcome, rules in by_outcome.items() if rules}


def _describe_sign_flag(flag: Flag) -> dict[str, str]:
    # A sign knows three severities: what stops a whole file holds each sign of it.
    severity = Severity.HOLD if flag.severity is Severity.STOP else flag.severity
    return {"code": flag.code, "severity": severity.value, "message": flag.message}


def describe_flag(flag: Flag) -> dict[str, Any]:
    """One flag as JSON; `source` is null where the flag concerns the whole file."""
    source = flag.source
    return {
        "code": flag.code,
        "severity": flag.severity.value,
        "message": flag.message,
        "source": {**_describe_source(source), "column": source.column} if source else None,
        "sign_id": flag.sign_id,
        "given": flag.given,
        "measured": flag.measured,
        "required": flag.required,
        "clause": flag.clause,
        "fix": flag.fix,
        "who": flag.who,
    }


def _describe_source(source: Source) -> dict[str, Any]:
    return {"file": source.file, "sheet": source.sheet, "row": source.row}


def _cell_size(job: Job) -> dict[str, Any] | None:
    """The braille size drilled; None where no sign was laid out."""
    return next((asdict(record.plate.cell_size) for record in job.signs if record.plate), None)

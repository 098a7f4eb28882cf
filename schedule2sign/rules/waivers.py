"""Waivers: a finding of one rule on one sign, accepted by a named person until a date."""

import tomllib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from schedule2sign.errors import InputError
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.rule import Verdict, Waiver, WaiverState, WaiverUse
from schedule2sign.rules.registry import BY_ID
from schedule2sign.tomltext import parse_toml

_TEXTS = ("rule", "code", "sign", "reason", "name")
_KEYS = (*_TEXTS, "date")
_TERM = timedelta(days=365)  # how long a waiver holds that names no last day: a house rule


def load_waivers(path: Path) -> tuple[Waiver, ...]:
    """Read a waiver file: `[[waiver]]` tables with rule, code, sign, reason, name, date, and until if it is not a year.

    Raises:
        InputError: the file cannot be read, a table is incomplete, or its rule takes no waiver.
    """
    try:
        data = parse_toml(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(f"The waiver file {path} cannot be read: {error.strerror}.") from error
    except UnicodeDecodeError as error:
        raise InputError(f"The waiver file {path.name} is not UTF-8 text (byte {error.start}).") from error
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"The waiver file {path.name} is not valid TOML: {error}.") from error
    tables = data.get("waiver", [])
    if set(data) - {"waiver"} or not isinstance(tables, list) or not tables:
        raise InputError(f"The waiver file {path.name} must hold [[waiver]] tables and nothing else.")
    waivers = tuple(_read(f"Waiver {number} of {path.name}", table) for number, table in enumerate(tables, start=1))
    seen: set[tuple[str, str]] = set()
    for waiver in waivers:
        if (waiver.flag_code, waiver.sign) in seen:
            raise InputError(f"{path.name} waives {waiver.flag_code} on {waiver.sign} twice. Keep one of them.")
        seen.add((waiver.flag_code, waiver.sign))
    return waivers


def _read(where: str, table: Any) -> Waiver:
    if not isinstance(table, dict) or set(table) - {"until"} != set(_KEYS):
        found = ", ".join(sorted(table)) if isinstance(table, dict) else repr(table)
        raise InputError(f"{where} must have {', '.join(_KEYS)}, and may have until. Found: {found}.")
    for key in _TEXTS:
        if not isinstance(table[key], str) or not table[key].strip():
            raise InputError(f"{where}: {key} must be text, and not empty.")
    given = _read_day(where, "date", table["date"])
    until = _read_day(where, "until", table["until"]) if "until" in table else given + _TERM
    if until < given:
        raise InputError(f"{where}: it ends on {until.isoformat()}, before it was given on {given.isoformat()}.")
    rule = BY_ID.get(table["rule"])
    if rule is None:
        raise InputError(f"{where}: there is no rule {table['rule']!r}. Known: {', '.join(BY_ID)}.")
    if not rule.waivable:
        raise InputError(
            f"{where}: {rule.id} takes no waiver: it guards braille, raised characters or life safety. Change the sign."
        )
    if table["code"] not in rule.codes:
        raise InputError(
            f"{where}: {rule.id} has no finding {table['code']!r}. Known: {', '.join(sorted(rule.codes))}."
        )
    return Waiver(**{key: table[key] for key in _TEXTS}, given=given, until=until)


def _read_day(where: str, key: str, value: object) -> date:
    if not isinstance(value, date) or isinstance(value, datetime):
        raise InputError(f"{where}: {key} must be a date such as 2027-01-31, without quotes.")
    return value


def finding_codes(verdicts: Sequence[Verdict]) -> tuple[str, ...]:
    """Codes of the flags the verdicts make, each once."""
    return tuple(
        dict.fromkeys(f"rules/{verdict.rule}/{finding.code}" for verdict in verdicts for finding in verdict.findings)
    )


def state_of(waiver: Waiver, codes: Collection[str], today: date) -> WaiverState:
    """What becomes of a waiver on a sign with these findings."""
    if today > waiver.until:
        return WaiverState.EXPIRED
    return WaiverState.USED if waiver.flag_code in codes else WaiverState.UNUSED


def account_waivers(
    waivers: Sequence[Waiver], codes_by_sign: Mapping[str, Collection[str]], today: date
) -> tuple[WaiverUse, ...]:
    """Every waiver of the job and what became of it."""
    return tuple(
        WaiverUse(waiver=waiver, state=state_of(waiver, codes_by_sign.get(waiver.sign, ()), today))
        for waiver in waivers
    )


def apply_waivers(sign_id: str, flags: Sequence[Flag], waivers: Sequence[Waiver], today: date) -> tuple[Flag, ...]:
    """The sign's flags with waived ones turned into notes, and a HOLD for every waiver of it that is idle or expired.

    Nothing expires unseen: the flag of an expired waiver stands as it was, with one more that says so.
    """
    found = list(flags)
    codes = {flag.code for flag in flags}
    for waiver in waivers:
        if waiver.sign != sign_id:
            continue
        state = state_of(waiver, codes, today)
        if state is WaiverState.EXPIRED:
            found.append(_complain(waiver, "expired", "has expired", "Renew it, or change the sign."))
        elif state is WaiverState.UNUSED:
            found.append(_complain(waiver, "unused", "waives nothing", "Delete it: the sign does not need it."))
        else:
            found = [_waive(flag, waiver) if flag.code == waiver.flag_code else flag for flag in found]
    return tuple(found)


def _waive(flag: Flag, waiver: Waiver) -> Flag:
    terms = f"{waiver.name} on {waiver.given.isoformat()} until {waiver.until.isoformat()} ({waiver.reason})"
    return replace(flag, severity=Severity.NOTE, message=f"Waived by {terms}: {flag.message}")


def flag_stray_waivers(waivers: Sequence[Waiver], sign_ids: Iterable[str]) -> tuple[Flag, ...]:
    """A HOLD for every waiver of a sign the job does not have."""
    known = frozenset(sign_ids)
    return tuple(
        _complain(waiver, "unused", "names a sign the job does not have", "Delete it, or correct the sign's id.")
        for waiver in waivers
        if waiver.sign not in known
    )


def _complain(waiver: Waiver, code: str, what: str, fix: str) -> Flag:
    return Flag(
        code=f"rules/waiver-{code}",
        severity=Severity.HOLD,
        message=f"The waiver {what}: {waiver}.",
        sign_id=waiver.sign,
        fix=fix,
        who="shop",
    )

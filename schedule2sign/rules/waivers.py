"""Waivers: a finding of one rule on one sign, accepted by a named person until a date."""

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

from schedule2sign.errors import InputError
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.rules.registry import BY_ID

_KEYS = ("rule", "code", "sign", "reason", "name", "expires")


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiver:
    """One waiver as written. `expires` is the last day it holds."""

    rule: str
    code: str
    sign: str
    reason: str
    name: str
    expires: date

    @property
    def flag_code(self) -> str:
        """Code of the flags it is about."""
        return f"rules/{self.rule}/{self.code}"

    def __str__(self) -> str:
        return f"{self.flag_code} on {self.sign}, by {self.name} until {self.expires.isoformat()}: {self.reason}"


def load_waivers(path: Path) -> tuple[Waiver, ...]:
    """Read a waiver file: `[[waiver]]` tables with rule, code, sign, reason, name and expires (a date).

    Raises:
        InputError: the file cannot be read, a table is incomplete, or its rule takes no waiver.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
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
    if not isinstance(table, dict) or set(table) != set(_KEYS):
        found = ", ".join(sorted(table)) if isinstance(table, dict) else repr(table)
        raise InputError(f"{where} must have exactly {', '.join(_KEYS)}. Found: {found}.")
    for key in _KEYS[:-1]:
        if not isinstance(table[key], str) or not table[key].strip():
            raise InputError(f"{where}: {key} must be text, and not empty.")
    expires = table["expires"]
    if not isinstance(expires, date) or isinstance(expires, datetime):
        raise InputError(f"{where}: expires must be a date such as 2027-01-31, without quotes.")
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
    return Waiver(**{key: table[key] for key in _KEYS})


def apply_waivers(sign_id: str, flags: Sequence[Flag], waivers: Sequence[Waiver], today: date) -> tuple[Flag, ...]:
    """The sign's flags with waived ones turned into notes, and a HOLD for every waiver of it that is idle or expired.

    Nothing expires unseen: the flag of an expired waiver stands as it was, with one more that says so.
    """
    found = list(flags)
    for waiver in waivers:
        if waiver.sign != sign_id:
            continue
        if today > waiver.expires:
            found.append(_complain(waiver, "expired", "has expired", "Renew it, or change the sign."))
            continue
        places = [index for index, flag in enumerate(found) if flag.code == waiver.flag_code]
        if not places:
            found.append(_complain(waiver, "unused", "waives nothing", "Delete it: the sign does not need it."))
        for index in places:
            message = (
                f"Waived by {waiver.name} until {waiver.expires.isoformat()} ({waiver.reason}): {found[index].message}"
            )
            found[index] = replace(found[index], severity=Severity.NOTE, message=message)
    return tuple(found)


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

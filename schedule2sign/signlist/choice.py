"""Which rule decides an opening: the sign-type column, a status word, or the room's name."""

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property, lru_cache

from schedule2sign.model.flag import Flag, Severity, holds
from schedule2sign.model.schedule import Field
from schedule2sign.signlist.decisionrule import DecisionRule
from schedule2sign.signlist.loads import with_occupant_load
from schedule2sign.signlist.openings import Opening
from schedule2sign.signlist.persons import is_person, is_person_flag
from schedule2sign.signlist.phrases import plain
from schedule2sign.signlist.questions import ask_row
from schedule2sign.signlist.rulebook import RuleBook, StatusRules
from schedule2sign.signlist.sides import Choice, Sides

_REFERENCE = re.compile(r"^(?:SIM\.?|SIMILAR|SAME)(?: TO| AS)? (?:ROOM |RM\.? |DOOR |NO\.? |#)*([A-Z0-9][A-Z0-9.-]*)$")
_WORDING = "naming/restroom-wording"
_HALL = re.compile(r".+ HALL(?: [A-Z0-9]{1,3})?")
_PROPER = frozenset({"naming/proper-name", "naming/unknown-word"})


class Chooser:
    """Chooses for one opening, knowing the others and the job's proper names."""

    def __init__(
        self,
        book: RuleBook,
        openings: Sequence[Opening],
        doors: Mapping[tuple[str, str], Sequence[Opening]],
        names: Sequence[str] = (),
    ) -> None:
        self._book = book
        self._names = names
        # A building has a few hundred names for its thousands of doors.
        self._name_rule = lru_cache(maxsize=4096)(book.name_rule)
        self._status = StatusRules(book)
        self._life_safety = lru_cache(maxsize=4096)(book.life_safety)
        self._sides = Sides(book, openings, doors)
        self._openings = openings

    def choose(self, opening: Opening) -> Choice:
        """The decision before conflicts and duplicates are counted in."""
        choice = self._by_status(opening)
        if choice is None:
            choice = self._sides.apply(opening, self._by_name(opening))
        choice = self._over_life_safety(opening, choice)
        choice = self._by_sign_type(opening, choice)
        return with_occupant_load(opening, choice)

    def _over_life_safety(self, opening: Opening, choice: Choice) -> Choice:
        """A job's own rule may take a life-safety sign away, but not without a word."""
        book = self._book
        shipped = self._life_safety(opening.name)
        if shipped is None or choice.template == shipped.template:
            return choice
        if choice.rule not in (*book.added, *book.changed) and shipped.id not in (*book.changed, *book.switched_off):
            return choice
        message = (
            f"{opening.label}: by the job file's rules ({choice.rule}: {choice.reason}) it does not get the sign of rule "
            f"{shipped.id} ({shipped.reason})."
        )
        flag = ask_row(
            opening.row, "job-rule-over-life-safety", Severity.ASK, message, "Confirm with the life-safety plan.",
            "building official", clause=shipped.clause,
        )  # fmt: skip
        return replace(choice, flags=(*choice.flags, flag))

    def _from_rule(self, opening: Opening, rule: DecisionRule, severity: Severity | None = None) -> Choice:
        severity = severity or rule.severity
        flags: tuple[Flag, ...] = ()
        # The naming stage asks about the wording of a toilet room already.
        asked = rule.id == "T3" and any(
            flag.code == _WORDING and flag.severity is Severity.ASK for flag in opening.row.flags
        )
        if severity is not Severity.NOTE and not asked:
            message = f"{opening.label}: {rule.ask or rule.reason}."
            flags = (ask_row(opening.row, rule.code, severity, message, rule.fix, rule.who, clause=rule.clause),)
        return Choice(
            rule=rule.id,
            reason=rule.reason,
            category=rule.category,
            template=rule.template,
            name=opening.name,
            side=rule.side,
            also=rule.also,
            pictogram=rule.pictogram,
            symbol=rule.symbol,
            flags=flags,
        )

    def _by_status(self, opening: Opening) -> Choice | None:
        row = opening.row
        name = plain(opening.name_as_given) or opening.name
        remarks = [known.raw.text(Field.REMARKS) for known in (row, opening.room_row) if known]
        notes = ", ".join((*remarks, row.raw.text(Field.ROOM_NUMBER)))
        rule = self._status.find(name, plain(notes), plain(" | ".join(row.raw.as_given)) if row.door else "")
        if rule is None:
            return None
        if rule.id == "ST7" and (copied := self._copy(opening, rule)):
            return copied
        named = self._name_rule(opening.name)
        if rule.id == "ST2" and named and named.category == "life-safety":
            choice = self._from_rule(opening, rule, Severity.HOLD)
            return replace(choice, reason=f"{rule.reason}, though it is a life-safety sign")
        choice = self._from_rule(opening, rule)
        whole = self._status.find(opening.name) is rule
        if rule.id == "ST6" and not whole:
            inner = self._sides.apply(opening, self._by_name(opening))
            return replace(inner, rule=rule.id, reason=choice.reason, flags=(*inner.flags, *choice.flags))
        final = rule.severity is not Severity.HOLD
        return replace(choice, name="" if whole or rule.template == "number" else opening.name, final=final)

    def _copy(self, opening: Opening, rule: DecisionRule) -> Choice | None:
        """SIM TO 244 takes the name of 244 where there is exactly one, with its own number in it."""
        found = _REFERENCE.fullmatch(plain(opening.name_as_given))
        named = [other for other in self._by_mark.get(found[1], ()) if other is not opening] if found else []
        if found is None or len({other.name for other in named}) != 1:
            return None
        name = named[0].name
        doubts = tuple(dict.fromkeys(flag for other in named for flag in other.given_flags if holds((flag,))))
        if not name or self._status.find(name) or any(is_person(other.named_row) for other in named):
            return None
        mine = name.replace(found[1], opening.number) if opening.number else name
        model = replace(opening, name=mine)
        choice = self._sides.apply(model, self._by_name(model))
        message = f"{opening.label} says {opening.name_as_given!r}; the name is taken from there: {mine!r}."
        flag = ask_row(opening.row, rule.code, Severity.ASK, message, "Confirm the name.", rule.who)
        return replace(choice, flags=(*doubts, *choice.flags, flag))

    @cached_property  # few schedules say SIM TO 244
    def _by_mark(self) -> Mapping[str, Sequence[Opening]]:
        """Openings by door mark and by number."""
        found: defaultdict[str, list[Opening]] = defaultdict(list)
        for opening in self._openings:
            for mark in {opening.row.door, opening.number} - {""}:
                found[mark].append(opening)
        return found

    def _by_name(self, opening: Opening) -> Choice:
        row = opening.row
        if opening.name and opening.name == opening.named_row.name and is_person(opening.named_row):
            rule = self._book.rule("O1")
            choice = replace(self._from_rule(opening, rule), person=True)
            severity = Severity.ASK if opening.number else Severity.HOLD
            message = f"{opening.name!r} reads as a person's name; such a name is never raised or brailled by default."
            fix = "Say which part of the name is permanent; the person's name goes into a changeable insert."
            flag = ask_row(row, "person-name", severity, message, fix, "owner", clause="ADA 216.1 exception 1")
            told = any(is_person_flag(known) for known in opening.named_row.flags)
            reason = "a person's name: number raised, name in an insert"
            return replace(choice, reason=reason, flags=() if told and opening.number else (flag,))
        if rule_found := self._name_rule(opening.name):
            if rule_found.id == "N1" and self._is_named_hall(opening):
                rule_found = self._book.rule("N7")
            return self._from_rule(opening, rule_found)
        if opening.name:
            reason = "permanent named room: number and name"
            return Choice(rule="R1", reason=reason, category="named", template="room", name=opening.name)
        message = f"{opening.label} has a number and no name: its sign shows the number only."
        flag = ask_row(row, "no-name", Severity.ASK, message, "Give the name, or accept the number alone.", "owner")
        asked = any(known.code == "signlist/door-mark-as-number" for known in opening.flags)
        return Choice(
            rule="R2",
            reason="number and no name",
            category="unnamed",
            template="number",
            name="",
            flags=() if asked else (flag,),
        )

    def _is_named_hall(self, opening: Opening) -> bool:
        """A corridor's name by its last word, but with somebody's name before it."""
        if not _HALL.fullmatch(opening.name) or "N7" in self._book.switched_off:
            return False
        listed = any(re.search(rf"\b{re.escape(name.upper())}\b", opening.name) for name in self._names)
        return listed or any(flag.code in _PROPER for flag in opening.named_row.flags)

    def _by_sign_type(self, opening: Opening, choice: Choice) -> Choice:
        """The customer's own sign-type column beats every rule, but for a life-safety sign it would drop."""
        given = plain(opening.text(Field.SIGN_TYPE))
        if not given or choice.final:
            return choice
        meaning = self._book.sign_type(given)
        if meaning is None:
            message = f"{opening.label}: sign type {given!r} needs its legend."
            fix = "Send the legend of sign types, or write the kind of sign in words."
            flag = ask_row(
                opening.row, "unknown-sign-type", Severity.HOLD, message, fix, "architect", field=Field.SIGN_TYPE
            )
            return replace(choice, template=choice.template or "room", flags=(*choice.flags, flag))
        if meaning == "none":
            if choice.category == "life-safety" and choice.template:
                message = f"{opening.label}: the sign-type column says {given!r}, but this is a life-safety sign."
                flag = ask_row(
                    opening.row, "sign-type-conflict", Severity.HOLD, message, "Confirm with the life-safety plan.",
                    "building official", field=Field.SIGN_TYPE,
                )  # fmt: skip
                return replace(choice, flags=(*choice.flags, flag))
            reason = "the sign-type column says no sign"
            return replace(choice, rule="TYPE", template="", reason=reason, flags=(), final=True)
        template = choice.template or "room" if meaning == "any" else meaning
        if choice.template in (template, *self._book.special.get(template, ())):
            return choice
        message = (
            f"{opening.label}: the sign-type column says {given!r}, the rules say {choice.reason!r}; the column wins."
        )
        flag = ask_row(opening.row, "sign-type", Severity.ASK, message, "Confirm.", "architect", field=Field.SIGN_TYPE)
        reason = f"the sign-type column says {given}"
        also = choice.also if template == "stair" else ""
        return replace(choice, rule="TYPE", template=template, also=also, reason=reason, flags=(*choice.flags, flag))

"""The braille command: the cells of a line or a word list, and why they are as they are."""

import argparse
import csv
import json
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from schedule2sign.cli.codes import ALL_RELEASED, SOME_HELD
from schedule2sign.errors import InputError

if TYPE_CHECKING:
    from schedule2sign.braille.explain import Explanation
    from schedule2sign.braille.translator import Translator
    from schedule2sign.model.flag import Flag

_COLUMNS = ("line", "text", "code", "braille", "ascii braille", "dots", "back-translation", "held", "flags")


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "braille",
        help="show the braille of a line or a word list, and why it is as it is",
        description="Translate lines as they would be raised on a sign, in capitals, and explain every word.",
    )
    parser.add_argument("texts", nargs="*", metavar="TEXT", help="a raised line, in quotes")
    parser.add_argument(
        "--list", type=Path, metavar="FILE", help="a text file, one line each, as a table (- reads standard input)"
    )
    parser.add_argument("--code", default="", metavar="NAME", help="braille code, over the job's (--codes lists them)")
    parser.add_argument("--codes", action="store_true", help="list the braille codes and stop")
    parser.add_argument("--sizes", action="store_true", help="list the braille sizes a job file can choose and stop")
    parser.add_argument("--job", type=Path, metavar="FILE.toml", help="job file: its lexicon and braille code")
    parser.add_argument("--standard", metavar="ID", help="rule profile whose braille code is used, over the job file's")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="print one JSON document")
    form.add_argument("--tsv", action="store_true", help="print a table with tabs (what --list does)")
    form.add_argument("--csv", action="store_true", help="print a table with commas")
    parser.set_defaults(command=_braille)


def _braille(options: argparse.Namespace) -> int:
    if options.codes:
        return _list_codes(options)
    if options.sizes:
        return _list_sizes(options)
    # Imported here so that --help and a mistyped option answer at once.
    from schedule2sign.braille.explain import explain

    texts = _texts(options)
    if not texts:
        raise InputError('Nothing to translate. Give a line in quotes, "STAFF RESTROOM", or a word list with --list.')
    translator = _open(options)
    # The same line twice is translated once.
    explained = {text: explain(text, translator) for text in dict.fromkeys(text for _, text in texts)}
    found = [(number, explained[text]) for number, text in texts]
    if options.json:
        _print_json(found, translator)
    elif options.csv or options.tsv or options.list is not None:
        _print_table(found, "," if options.csv else "\t")
    else:
        _print_text(explanation for _, explanation in found)
    for flag in translator.flags:
        print(f"{flag.severity} {flag.code}: {flag.message} {flag.fix}".rstrip(), file=sys.stderr)
    return SOME_HELD if any(_is_held(explanation) for _, explanation in found) else ALL_RELEASED


def _list_codes(options: argparse.Namespace) -> int:
    from schedule2sign.braille.codes import load_codes

    codes = load_codes().values()
    if options.json:
        described = [{"name": code.name, "title": code.title, "note": code.note} for code in codes]
        print(json.dumps({"schema": 1, "codes": described}, ensure_ascii=False, indent=2))
        return ALL_RELEASED
    for code in codes:
        print(f"{code.name:<22} {code.title}")
        if code.note:
            print(f"{'':<22} NOTE: {code.note}")
    return ALL_RELEASED


def _list_sizes(options: argparse.Namespace) -> int:
    from schedule2sign.braille.sizes import load_table

    table = load_table()
    if options.json:
        print(json.dumps({"schema": 1, "sizes": table}, ensure_ascii=False, indent=2))
        return ALL_RELEASED
    for name, size in table.items():
        print(f"{name:<10} {size['title']}")
        print(
            f"{'':<10} dots {size['dot_pitch']}, cells {size['cell_pitch']}, lines {size['line_pitch']} center to "
            f"center; dot base {size['base']}, height {size['height']} ({size['source']})"
        )
    return ALL_RELEASED


def _open(options: argparse.Namespace) -> "Translator":
    from schedule2sign.braille.translator import open_translator
    from schedule2sign.model.settings import Settings
    from schedule2sign.rules.profile import load_profile
    from schedule2sign.settings import load_settings

    settings = load_settings(options.job) if options.job else Settings()
    profile = load_profile(options.standard or settings.standard)
    code = options.code or settings.braille_code or profile.drawing.braille_code
    return open_translator(code, settings.lexicon)


def _texts(options: argparse.Namespace) -> list[tuple[int, str]]:
    """Lines to translate with their place, as they are raised: in capitals, one space between words."""
    given: list[tuple[int, str]] = list(enumerate(options.texts, start=1))
    if options.list is not None:
        given += enumerate(_read_list(options.list).splitlines(), start=1)
    return [(number, raised) for number, text in given if (raised := " ".join(text.upper().split()))]


def _read_list(path: Path) -> str:
    try:
        data = sys.stdin.buffer.read() if str(path) == "-" else path.read_bytes()
        return data.decode("utf-8-sig")
    except OSError as error:
        raise InputError(f"The word list {path} cannot be read: {error.strerror}.") from error
    except UnicodeDecodeError as error:
        raise InputError(f"The word list {path} is not UTF-8 text (byte {error.start}). Save it as UTF-8.") from error


def _is_held(explanation: "Explanation") -> bool:
    from schedule2sign.model.flag import holds

    return holds(explanation.line.flags)


def _print_text(explanations: Iterable["Explanation"]) -> None:
    from schedule2sign.braille.explain import explanation_lines

    for index, explanation in enumerate(explanations):
        if index:
            print()
        print("\n".join(explanation_lines(explanation)))


def _print_table(found: Sequence[tuple[int, "Explanation"]], delimiter: str) -> None:
    from schedule2sign.geometry.brailleascii import dot_numbers
    from schedule2sign.writers.text import csv_text

    writer = csv.writer(sys.stdout, delimiter=delimiter, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for number, explanation in found:
        line = explanation.line
        writer.writerow(
            (
                number,
                csv_text(line.text),
                line.code,
                line.cells,
                explanation.ascii,
                dot_numbers(line.cells) if explanation.ascii else "",
                csv_text(line.back),
                "held" if _is_held(explanation) else "",
                "; ".join(f"{flag.severity} {flag.code}: {flag.message}" for flag in line.flags),
            )
        )


def _print_json(found: Sequence[tuple[int, "Explanation"]], translator: "Translator") -> None:
    engine = translator.engine
    document = {
        "schema": 1,
        "engine": {
            "name": engine.name,
            "version": engine.version,
            "tables": [{"name": name, "sha256": sha256} for name, sha256 in engine.tables],
        },
        "flags": [_flag(flag) for flag in translator.flags],
        "lines": [_describe(number, explanation) for number, explanation in found],
    }
    print(json.dumps(document, ensure_ascii=False, indent=2))


def _describe(number: int, explanation: "Explanation") -> dict[str, Any]:
    from schedule2sign.braille.explain import capitals_reason

    line = explanation.line
    return {
        "line": number,
        "text": line.text,
        "code": line.code,
        "cells": line.cells,
        "ascii": explanation.ascii,
        "back": line.back,
        "held": _is_held(explanation),
        "words": [
            {
                "typed": word.typed,
                "cells": word.cells,
                "ascii": word.ascii,
                "dots": word.dots,
                "tokens": [
                    {
                        "text": token.text,
                        "typed": token.typed,
                        "class": str(token.kind),
                        "reason": token.reason,
                        "capitals": capitals_reason(token),
                        "contracted": token.contracted,
                    }
                    for token in word.tokens
                ],
                "contractions": [{"letters": part.letters, "cells": part.cells} for part in word.contractions],
            }
            for word in explanation.words
        ],
        "flags": [_flag(flag) for flag in line.flags],
    }


def _flag(flag: "Flag") -> dict[str, str]:
    return {
        "code": flag.code,
        "severity": str(flag.severity),
        "message": flag.message,
        "measured": flag.measured,
        "required": flag.required,
        "clause": flag.clause,
        "fix": flag.fix,
        "who": flag.who,
    }

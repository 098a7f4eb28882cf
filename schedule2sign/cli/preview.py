"""The preview command: one sign from a template and a text."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from schedule2sign.cli.codes import ALL_RELEASED, SOME_HELD
from schedule2sign.cli.family import add_family, family_settings, size_text
from schedule2sign.errors import InputError
from schedule2sign.model.sign import Role

if TYPE_CHECKING:
    from schedule2sign.layout.template import Template

_DPI, _LEAST_DPI, _MOST_DPI = 192.0, 10, 1200


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser."""
    preview = commands.add_parser("preview", help="draw one sign from a template and a text")
    preview.add_argument("template", metavar="TEMPLATE", help="name of the template (schedule2sign templates)")
    preview.add_argument(
        "--text", action="append", default=[], metavar="TEXT", help="the name; again for a second language"
    )
    preview.add_argument("--number", default="", metavar="TEXT", help="the room number")
    preview.add_argument("--level", default="", metavar="TEXT", help="the level, as in LEVEL 2")
    preview.add_argument("--insert", default="", metavar="TEXT", help=r"flat text; \n starts a new line")
    preview.add_argument("--pictogram", default="", metavar="NAME", help="name of the pictogram, or star")
    preview.add_argument("-o", "--out", type=Path, required=True, metavar="FILE", help=".svg, .png or .pdf")
    preview.add_argument("--dpi", type=float, default=_DPI, help=f"pixels an inch of a .png ({_DPI:g})")
    add_family(preview)
    preview.set_defaults(command=_preview)


def _preview(options: argparse.Namespace) -> int:
    from schedule2sign.layout.gallery import sample_request
    from schedule2sign.signmaker import find_templates, make_samples
    from schedule2sign.writers.commit import write_file
    from schedule2sign.writers.picture import render_png
    from schedule2sign.writers.sign_pdf import render_sign_pdf
    from schedule2sign.writers.sign_svg import render_sign

    kind = options.out.suffix.lower()
    if kind not in (".svg", ".png", ".pdf"):
        raise InputError(f"-o {options.out}: write a .svg, .png or .pdf file.")
    if not _LEAST_DPI <= options.dpi <= _MOST_DPI:
        raise InputError(f"--dpi must lie between {_LEAST_DPI} and {_MOST_DPI}, not {options.dpi:g}.")
    settings = family_settings(options)
    templates = find_templates(settings)
    template = templates.get(options.template)
    if template is None:
        raise InputError(f"There is no template {options.template!r}. Known: {', '.join(templates)}.")
    texts, insert = _said(options, template)
    (record,) = make_samples([sample_request(template, texts, options.pictogram, insert)], settings)
    for flag in record.flags:
        print(f"{flag.severity}: {flag.message}" + (f" {flag.fix}" if flag.fix else ""))
    if record.layout is None:
        print("Nothing was drawn.")
        return SOME_HELD
    if kind == ".pdf":
        write_file(options.out, render_sign_pdf(record.layout, f"{template.name} preview"))
    else:
        svg = render_sign(record, record.layout, settings.revision)
        write_file(options.out, svg if kind == ".svg" else render_png(svg, options.dpi))
    outcomes = [verdict.outcome for verdict in record.verdicts]
    print(f"{options.out}: {size_text(record)}; " + "; ".join((*record.layout.remedies, "")).rstrip("; "))
    print(
        f"Checked against {settings.standard}: "
        + ", ".join(f"{outcomes.count(outcome)} {outcome}" for outcome in dict.fromkeys(outcomes))
        + ". No certificate: the authority having jurisdiction decides."
    )
    return ALL_RELEASED if record.status == "released" else SOME_HELD


def _said(options: argparse.Namespace, template: "Template") -> tuple[dict[Role, str] | None, str]:
    """Texts by role and the flat text; None for the template's own samples."""
    insert = options.insert.replace("\\n", "\n")
    if not template.texts and template.visual:
        return {}, insert or "\n".join(options.text).replace("\\n", "\n")
    said = {Role.NAME: "\n".join(options.text), Role.NUMBER: options.number, Role.LEVEL: options.level}
    given = {role: text.upper() for role, text in said.items() if text}
    takes = [field.role for field in template.texts]
    for role in given:
        if role not in takes:
            option = {Role.NAME: "--text", Role.NUMBER: "--number", Role.LEVEL: "--level"}
            use = ", ".join(option[taken] for taken in takes) or "no raised text"
            raise InputError(f"Template {template.name!r} has no {role}; it takes {use}.")
    return given or None, insert

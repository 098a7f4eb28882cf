"""The templates command: list the sign family, draw it, or copy it to change it."""

import argparse
import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from schedule2sign.cli.codes import ALL_RELEASED, SOME_HELD
from schedule2sign.cli.family import add_family, family_settings, inch_text, size_text
from schedule2sign.errors import InputError
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.settings import Settings

if TYPE_CHECKING:
    from schedule2sign.layout.template import Template
    from schedule2sign.model.job import SignRecord
    from schedule2sign.model.shape import FontFacts
    from schedule2sign.writers.gallery import Sample

_SCHEMA = "sign-template.schema.json"


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser."""
    templates = commands.add_parser("templates", help="list the sign templates and fonts, or draw them all")
    add_family(templates)
    templates.add_argument(
        "--gallery", type=Path, metavar="OUT", help="draw every template: OUT.html, OUT.svg, OUT.png, or a folder"
    )
    templates.add_argument(
        "--copy", type=Path, metavar="DIR", help="copy the family with its schema and pictograms, to change it there"
    )
    templates.add_argument("--json", action="store_true", help="print one JSON document")
    templates.set_defaults(command=_templates)


def _templates(options: argparse.Namespace) -> int:
    # Imported here so that --help and a mistyped option answer at once.
    from schedule2sign.signmaker import find_templates

    settings = family_settings(options)
    templates = find_templates(settings)
    if options.copy is not None:
        return _copy(options.copy, settings)
    if options.gallery is not None:
        return _gallery(options.gallery, settings, templates)
    fonts = _shipped_fonts()
    if options.json:
        document = {
            "schema": 1,
            "family": settings.templates,
            "standard": settings.standard,
            "templates": [_describe(template) for template in templates.values()],
            "fonts": [
                {
                    "file": font.file,
                    "name": font.name,
                    "licence": font.licence,
                    "stroke_ratio": round(font.stroke_ratio, 4),
                }
                for font in fonts
            ],
        }
        print(json.dumps(document, ensure_ascii=False, indent=2))
        return ALL_RELEASED
    print(f"Family {settings.templates}, {len(templates)} templates, as for {settings.standard}")
    for template in templates.values():
        print(f"{template.name:<19} {template.title}\n{'':<19} {_plates(template)}; {', '.join(_fields(template))}")
    print("\nFonts (schedule2sign font FILE measures one, yours too)")
    for font in fonts:
        print(f"{font.file:<28} {font.name}: stroke {font.stroke_ratio:.1%}, O {font.o_ratio:.0%} of the height of I")
    return ALL_RELEASED


def _plates(template: "Template") -> str:
    def size(index: int) -> str:
        return f"{inch_text(template.widths_mm[index])} x {inch_text(template.heights_mm[index])}"

    single = len(template.widths_mm) == len(template.heights_mm) == 1
    return f"plate {size(0)} in" if single else f"plates {size(0)} to {size(-1)} in"


def _fields(template: "Template") -> list[str]:
    """What stands on the plate, in words."""
    said = [
        f"{field.role} {inch_text(field.heights_mm[0])} in" + (f" on {field.max_lines} lines" * (field.max_lines > 1))
        for field in template.texts
    ]
    if template.braille_lines:
        said.append("braille")
    if template.visual:
        said.append(f"flat text {inch_text(template.visual.heights_mm[0])} in")
    if template.pictogram:
        said.append(f"pictogram ({', '.join(drawing.name for drawing in template.pictogram.drawings)})")
    if template.window:
        said.append(f"window {inch_text(template.window.height_mm)} in high {template.window.place}")
    names = (("border", "border"), ("rule_line", "rule line"), ("star", "star"), ("laid", "triangle laid on"))
    said += [word for name, word in names if getattr(template, name)]
    return [*said, str(template.fixing.kind)]


def _describe(template: "Template") -> dict[str, Any]:
    return {
        "id": template.name,
        "title": template.title,
        "widths_in": [round(width / MM_PER_INCH, 4) for width in template.widths_mm],
        "heights_in": [round(height / MM_PER_INCH, 4) for height in template.heights_mm],
        "fields": _fields(template),
        "remedies": [str(remedy) for remedy in template.remedies],
    }


def _copy(target: Path, settings: Settings) -> int:
    """A family as a folder of its own, ready for [make] templates in a job file."""
    from schedule2sign.resources import templates_folder
    from schedule2sign.writers.commit import write_file

    shipped = templates_folder()
    source = shipped / settings.templates
    if not source.is_dir():
        raise InputError(
            f"--copy takes a shipped family, not {settings.templates!r}; your own folder you can copy yourself."
        )
    if target.exists() and any(target.iterdir()):
        raise InputError(f"{target} is there and not empty; name a new folder.")
    files = {file.name: file for folder in (shipped / "signs", source) for file in sorted(folder.glob("*.toml"))}
    for name, file in files.items():
        text = file.read_text(encoding="utf-8").replace("#:schema ../", "#:schema ")
        lines = [line for line in text.splitlines(keepends=True) if not line.startswith("family = ")]
        write_file(target / name, "".join(lines).encode())
    for file in sorted((shipped / "pictograms").iterdir()):
        write_file(target / "pictograms" / file.name, file.read_bytes())
    write_file(target / _SCHEMA, (shipped / _SCHEMA).read_bytes())
    print(f"{len(files) - 1} templates and their style copied to {target}.")
    print(f'Change them there and name the folder in the job file: [make] templates = "{target.name}"')
    return ALL_RELEASED


def _gallery(out: Path, settings: Settings, templates: Mapping[str, "Template"]) -> int:
    from schedule2sign.layout.gallery import sample_request
    from schedule2sign.signmaker import make_samples
    from schedule2sign.writers.commit import write_file
    from schedule2sign.writers.gallery import page_html, sheet_svg
    from schedule2sign.writers.picture import render_png

    requests = [sample_request(template) for template in templates.values()]
    records = make_samples(requests, settings)
    samples = [_sample(record, settings) for record in records if record.layout]
    title = f"Sign family {Path(settings.templates).name}, {settings.standard}"
    kind = out.suffix.lower()
    if kind == ".html":
        write_file(out, page_html(title, samples))
    elif kind == ".svg":
        write_file(out, sheet_svg(title, samples))
    elif kind == ".png":
        write_file(out, render_png(sheet_svg(title, samples), 96.0))
    elif kind:
        raise InputError(f"--gallery {out}: write .html, .svg, .png, or name a folder.")
    else:
        for sample in samples:
            write_file(out / f"{sample.name}.svg", sample.svg)
        write_file(out / "index.html", page_html(title, samples))
    missing = [record for record in records if record.layout is None]
    for record in missing:
        print(f"{record.request.template} not drawn: {record.flags[0].message}")
    print(f"{len(samples)} templates drawn in {out}.")
    return SOME_HELD if missing else ALL_RELEASED


def _sample(record: "SignRecord", settings: Settings) -> "Sample":
    from schedule2sign.writers.gallery import Sample
    from schedule2sign.writers.sign_svg import render_sign

    layout = record.layout
    if layout is None:
        raise ValueError(f"{record.request.template} has no layout to draw")
    return Sample(
        name=record.request.template,
        caption=(size_text(record), *layout.remedies),
        width_in=layout.width_mm / MM_PER_INCH,
        height_in=layout.height_mm / MM_PER_INCH,
        svg=render_sign(record, layout, settings.revision),
    )


def _shipped_fonts() -> list["FontFacts"]:
    from schedule2sign.lettering.typeface import load_typeface
    from schedule2sign.resources import templates_folder

    return [load_typeface(path).facts for path in sorted((templates_folder() / "fonts").glob("*.[ot]tf"))]

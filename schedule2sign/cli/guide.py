"""The guide command: the pages that ship with the program, and a schedule to try them on."""

import argparse
from pathlib import Path

from schedule2sign.cli.codes import ALL_RELEASED
from schedule2sign.errors import InputError


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "guide", help="read the pages for each kind of work, or copy them with the demo's inputs"
    )
    parser.add_argument("page", nargs="?", metavar="PAGE", help="page to print; without it, the list of pages")
    parser.add_argument("--copy", type=Path, metavar="DIR", help="copy all pages and the demo's schedule and job file")
    parser.set_defaults(command=_guide)


def _guide(options: argparse.Namespace) -> int:
    from schedule2sign.resources import guide_folder

    pages = {path.stem: path for path in sorted(guide_folder().glob("*.md"))}
    if options.copy is not None:
        return _copy(options.copy, pages)
    if options.page is None:
        for name, path in pages.items():
            title = path.read_text(encoding="utf-8").partition("\n")[0].removeprefix("# ")
            print(f"{name:<18} {title}")
        print(
            "Print one: schedule2sign guide production-lead. Copy all, with a schedule to try: schedule2sign guide --copy DIR"
        )
        return ALL_RELEASED
    if options.page not in pages:
        raise InputError(f"There is no page {options.page!r}. Pages: {', '.join(pages)}.")
    print(pages[options.page].read_text(encoding="utf-8"), end="")
    return ALL_RELEASED


def _copy(target: Path, pages: dict[str, Path]) -> int:
    from schedule2sign.resources import demo_folder, templates_folder
    from schedule2sign.writers.commit import write_file

    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise InputError(f"{target} is there and not empty; name a new folder.")
    sources = {path.name: path for path in [*pages.values(), *sorted(demo_folder().iterdir())] if path.is_file()}
    sources["templates-README.md"] = templates_folder() / "README.md"
    for name, path in sources.items():
        write_file(target / name, path.read_bytes())
    print(f"{len(sources)} files copied to {target}: {', '.join(sources)}.")
    return ALL_RELEASED

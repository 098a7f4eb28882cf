"""An Office Open XML package (ISO/IEC 29500-2): parts are kept byte for byte unless they are edited."""

import io
import posixpath
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from itertools import chain
from typing import Any, NamedTuple

from lxml import etree

from schedule2sign.writers.chunks import in_chunks
from schedule2sign.writers.sheetrows import around_mark
from schedule2sign.writers.squeezed import Squeezed
from schedule2sign.writers.zipstream import zip_chunks

CONTENT_TYPES = "[Content_Types].xml"
_RELATIONSHIPS = "http://schemas.openxmlformats.org/package/2006/relationships"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_RELATIONSHIPS_TYPE = "application/vnd.openxmlformats-package.relationships+xml"


class PackageError(ValueError):
    """The package is not built as the standard says, or holds what is not edited here; the message says what."""


class Relation(NamedTuple):
    """One relationship of a part; `target` is a part name, or the address as it stands where it is external."""

    id: str
    type: str
    target: str
    external: bool


class Package:
    """The parts of a package by name ("xl/workbook.xml"), in the order they stand in the file.

    Raises:
        PackageError: no zip archive, or two parts of one name.
    """

    def __init__(self, data: bytes) -> None:
        self._parts: dict[str, bytes | Squeezed] = {}
        self._edited: dict[str, Any] = {}
        self._rows: dict[str, Squeezed] = {}
        try:
            with zipfile.ZipFile(io.BytesIO(data)) as archive:
                for entry in archive.infolist():
                    if entry.is_dir():
                        continue
                    if entry.filename in self._parts:
                        raise PackageError(f"it holds two parts named {entry.filename}")
                    self._parts[entry.filename] = archive.read(entry)
        except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError, OSError) as error:
            raise PackageError(f"its archive cannot be read ({error})") from error

    def __contains__(self, name: str) -> bool:
        return name in self._parts

    def names(self) -> tuple[str, ...]:
        return tuple(self._parts)

    def bytes_of(self, name: str) -> bytes:
        """The part as it stood, or as it was last set."""
        if name not in self._parts:
            raise PackageError(f"it has no part {name}")
        part = self._parts[name]
        return part if isinstance(part, bytes) else b"".join(part)

    def set_bytes(self, name: str, data: bytes | Squeezed) -> None:
        self._edited.pop(name, None)
        self._rows.pop(name, None)
        self._parts[name] = data

    def take_rows(self, name: str, frame: bytes, rows: Squeezed) -> None:
        """Keep of a worksheet part the frame to be edited, and apart from it its rows as they will be written."""
        self.set_bytes(name, frame)
        self._rows[name] = rows

    def edit(self, name: str) -> Any:
        """The root element of a part; what is changed in it is written."""
        if name not in self._edited:
            self._edited[name] = parse(name, self.bytes_of(name))
        return self._edited[name]

    def view(self, name: str) -> Any:
        """The root element of a part, to look at only."""
        return self._edited[name] if name in self._edited else parse(name, self.bytes_of(name))

    def add(self, stem: str, suffix: str, data: bytes | Squeezed, content_type: str) -> str:
        """A new part named stem1suffix, stem2suffix ...; returns its name."""
        taken = {name.casefold() for name in self._parts}
        number = next(n for n in range(1, len(taken) + 2) if f"{stem}{n}{suffix}".casefold() not in taken)
        name = f"{stem}{number}{suffix}"
        self._parts[name] = data
        types = self.edit(CONTENT_TYPES)
        etree.SubElement(types, f"{{{_TYPES}}}Override", PartName=f"/{name}", ContentType=content_type)
        return name

    def remove(self, name: str) -> None:
        """Take a part, its own relationships and its content type out of the package."""
        for gone in (name, _relations_name(name)):
            self._parts.pop(gone, None)
            self._edited.pop(gone, None)
        for element in list(self.edit(CONTENT_TYPES)):
            if element.get("PartName", "").casefold() == f"/{name}".casefold():
                element.getparent().remove(element)

    def set_content_type(self, name: str, content_type: str) -> None:
        """Change what a part that has a type of its own is said to be."""
        for element in self.edit(CONTENT_TYPES):
            if element.get("PartName", "").casefold() == f"/{name}".casefold():
                element.set("ContentType", content_type)

    def relations(self, name: str) -> Iterator[Relation]:
        """Relationships of a part; of the package itself where the name is ""."""
        path = _relations_name(name)
        if path not in self._parts:
            return
        folder = posixpath.dirname(name)
        for element in self.view(path).iter(f"{{{_RELATIONSHIPS}}}Relationship"):
            target, external = element.get("Target", ""), element.get("TargetMode") == "External"
            if not external:
                target = posixpath.normpath(posixpath.join("/", folder, target)).lstrip("/")
            yield Relation(element.get("Id", ""), element.get("Type", ""), target, external)

    def relate(self, name: str, kind: str, target: str) -> str:
        """Add a relationship from a part to a part; returns its id."""
        path = _relations_name(name)
        if path not in self._parts:
            self._parts[path] = f'<Relationships xmlns="{_RELATIONSHIPS}"/>'.encode()
        taken = {relation.id for relation in self.relations(name)}
        new = next(f"rIdS{n}" for n in range(1, len(taken) + 2) if f"rIdS{n}" not in taken)
        etree.SubElement(self.edit(path), f"{{{_RELATIONSHIPS}}}Relationship", Id=new, Type=kind, Target=f"/{target}")
        return new

    def drop_relations(self, name: str, target: str) -> None:
        """Take out every relationship from a part to the target."""
        gone = {relation.id for relation in self.relations(name) if relation.target == target}
        for element in list(self.edit(_relations_name(name))) if gone else ():
            if element.get("Id") in gone:
                element.getparent().remove(element)

    def chunks(self) -> Iterator[bytes]:
        """The package with fixed dates and no compression, which differs from one machine to the next."""
        self._declare_relationships()
        return in_chunks(zip_chunks((name, self._pieces(name)) for name in tuple(self._parts)))

    def _pieces(self, name: str) -> Iterable[bytes]:
        if name in self._rows:
            before, after = around_mark(serialize(self.view(name)))
            return chain((before,), self._rows[name], (after,))
        if name in self._edited:
            return (serialize(self._edited[name]),)
        part = self._parts[name]
        return (part,) if isinstance(part, bytes) else part

    def declare_extension(self, extension: str, content_type: str) -> None:
        """Say what parts of this ending are, unless that is said already."""
        types = self.view(CONTENT_TYPES)
        known = {element.get("Extension", "").casefold() for element in types.iter(f"{{{_TYPES}}}Default")}
        if extension not in known:
            default = etree.Element(f"{{{_TYPES}}}Default", Extension=extension, ContentType=content_type)
            self.edit(CONTENT_TYPES).insert(0, default)

    def _declare_relationships(self) -> None:
        self.declare_extension("rels", _RELATIONSHIPS_TYPE)


def _relations_name(name: str) -> str:
    folder, base = posixpath.split(name)
    return posixpath.join(folder, "_rels", f"{base}.rels")


def parse(name: str, data: bytes) -> Any:
    """The root element of a part's text.

    Raises:
        PackageError: it is not well-formed, or declares a document type.
    """
    # Entities stay unread, and a document that declares any is refused: no spreadsheet program writes one.
    parser = etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True)
    try:
        root = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        raise PackageError(f"its part {name} is not well-formed XML ({error})") from error
    if root.getroottree().docinfo.doctype:
        raise PackageError(f"its part {name} declares a document type")
    return root


def serialize(root: Any) -> bytes:
    """The text of a part."""
    return bytes(etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True))

"""Paths inside the output folder, compared as a disk does that ignores case and Unicode composition."""

import unicodedata


def check_path(path: str) -> list[str]:
    """The parts of a plain path inside the folder.

    Raises:
        ValueError: it is none (our bug).
    """
    parts = path.split("/")
    if not all(parts) or {".", ".."} & set(parts) or "\\" in path or "\0" in path:
        raise ValueError(f"the output path {path!r} is not a plain path inside the folder")
    return parts


class OutPaths:
    """Paths taken so far."""

    def __init__(self) -> None:
        self._folders: dict[str, str] = {}  # folded, and as spelled
        self._files: set[str] = set()

    def add(self, path: str) -> None:
        """Take a path.

        Raises:
            ValueError: it is no plain path, or that of another file or folder on some disks (our bug).
        """
        *folders, _ = check_path(path)
        for depth in range(1, len(folders) + 1):
            prefix = "/".join(folders[:depth])
            folded = _fold(prefix)
            known = self._folders.setdefault(folded, prefix)
            if known != prefix or folded in self._files:
                raise ValueError(f"the output paths {known!r} and {path!r} are one on some disks")
        folded = _fold(path)
        if folded in self._files or folded in self._folders:
            raise ValueError(f"the output path {path!r} and another are one on some disks")
        self._files.add(folded)

    def remove(self, path: str) -> None:
        """Give a file's path free."""
        self._files.remove(_fold(path))


def _fold(path: str) -> str:
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", path).casefold())

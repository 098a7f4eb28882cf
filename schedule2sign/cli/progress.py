"""Progress on a terminal; silence anywhere else."""

import sys
from typing import TextIO

_STEPS_SHOWN = 50


class Progress:
    """Rewrites one line of stderr. Shows nothing when told to be quiet or when stderr is no terminal."""

    def __init__(self, *, quiet: bool, stream: TextIO | None = None) -> None:
        self._stream = stream if stream is not None else sys.stderr
        self._shown = not quiet and self._stream.isatty()
        self._width = 0

    def __call__(self, stage: str, done: int, total: int) -> None:
        """Show "stage done/total"; few enough times that drawing never costs more than the work."""
        if not self._shown or (done != total and total > _STEPS_SHOWN and done % (total // _STEPS_SHOWN)):
            return
        text = f"{stage} {done}/{total}" if total else stage
        self._stream.write("\r" + text.ljust(self._width))
        self._stream.flush()
        self._width = len(text)

    def finish(self) -> None:
        """Clear the line."""
        if self._shown and self._width:
            self._stream.write("\r" + " " * self._width + "\r")
            self._stream.flush()
            self._width = 0

"""The few exceptions of the package."""


class InputError(Exception):
    """What the user gave cannot be used: one clear message, exit 2, nothing written."""


class MissingEngineError(InputError):
    """The braille bindings or their tables are not installed."""


class AccountingError(Exception):
    """The row accounting does not balance: a row was lost or invented (our bug, exit 3)."""

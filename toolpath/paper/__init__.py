"""Pictures, sheets and the record; computes nothing."""

import os

from toolpath.errors import InputError

try:
    import matplotlib as _  # noqa: F401  # while it is imported it reads MPLBACKEND
except ValueError as error:
    named = os.environ.get("MPLBACKEND", "not stated")
    raise InputError(f"MPLBACKEND = {named}: matplotlib has no backend of this name; unset it") from error

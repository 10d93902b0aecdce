"""The library that reads and writes DXF; it is an optional part of the installation."""

from types import ModuleType

from toolpath.errors import InputError


def dxf_library() -> ModuleType:
    """The library ezdxf.

    Raises:
        InputError: it is not installed; says how to get it.
    """
    try:
        import ezdxf
    except ImportError:
        raise InputError(
            'drawings need the library ezdxf; install it with: python -m pip install "dishpath[drawings]"'
        ) from None
    return ezdxf

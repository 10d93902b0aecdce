"""A job with holes: what could be read of a file that has faults, for the rules to look at."""

from collections.abc import Mapping
from typing import Annotated, Any, TypeVar, get_origin

from pydantic import TypeAdapter, ValidationError

from toolpath.job.faults import fields_by_key, table_type
from toolpath.job.types import Context, JobTable

T = TypeVar("T", bound=JobTable)


def with_holes(table: type[T], document: Mapping[str, Any], context: Context) -> T:
    """The table with every value that can be read; one that cannot is not there."""
    values: dict[str, Any] = {}
    holes: list[str] = []
    names = dict(zip(fields_by_key(table), table.model_fields, strict=True))
    for key, field in fields_by_key(table).items():
        if key not in document:
            if field.is_required() or field.validate_default:
                holes.append(names[key])
            continue
        try:
            kind: Any = field.annotation
            for limit in field.metadata:
                kind = Annotated[kind, limit]
            values[key] = TypeAdapter(kind).validate_python(document[key], context=context)
        except ValidationError:
            inner = table_type(field.annotation)
            repeats = get_origin(field.annotation) is tuple
            if inner is not None and isinstance(document[key], Mapping) and not repeats:
                values[key] = with_holes(inner, document[key], context)
            else:
                holes.append(names[key])
    stated = {name for key, name in names.items() if key in document}
    partial = table.model_construct(stated, **values)
    for name in holes:
        partial.__dict__.pop(name, None)
    return partial

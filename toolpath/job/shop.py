"""The shop file: tools, holders, machines and burettes stated once and used by name.

    units = "mm"            # of the numbers in this file; the job's where not stated
    [tool.ROUND10]
    insert = "RCGT 10T3 M0"

A job says `tool = "ROUND10"`, or `[tool]` with `use = "ROUND10"` and the keys it wants otherwise.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, get_args

from toolpath.job.faults import Fault, Path, key_text, nearest
from toolpath.job.model import SHOP_TABLES
from toolpath.job.types import ShopNumber, ShopText, shown
from toolpath.units import Units


@dataclass(slots=True)
class Merged:
    """A job's document after the shop file's values were put in."""

    document: dict[str, Any]
    sources: dict[Path, str] = field(default_factory=dict)  # key of the job -> file and key of the shop
    overrides: list[str] = field(default_factory=list)
    from_shop: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def faults_of_shop(shop: Mapping[str, Any]) -> list[Fault]:
    """What is wrong with the outline of a shop file; its values are judged where a job uses them."""
    known = ["units", *SHOP_TABLES]
    faults = []
    for key, value in shop.items():
        if key not in known:
            faults.append(Fault((key,), f"a shop file has no such key; {nearest(key, known)}"))
        elif key == "units":
            if value not in get_args(Units):
                faults.append(Fault((key,), 'it must be one of "mm", "inch"'))
        elif not isinstance(value, dict) or not all(isinstance(entry, dict) for entry in value.values()):
            faults.append(Fault((key,), f"it must hold named tables; write [{key}.NAME]"))
    return faults


def merge(job: Mapping[str, Any], shop: Mapping[str, Any] | None, units: Units, shop_name: str) -> Merged:
    """The job's document with the named tables of the shop file filled in; the job's own keys win.

    `shop` is None where there is no shop file; a job that uses a name is then at fault.
    """
    merged = Merged(dict(job))
    shop_units: Units = shop.get("units", units) if shop else units
    for table in SHOP_TABLES:
        stated = merged.document.get(table)
        own = {"use": stated} if isinstance(stated, str) else stated
        if not isinstance(own, dict) or "use" not in own:
            continue
        own = dict(own)
        use = own.pop("use")
        entries = shop.get(table, {}) if shop else {}
        if not isinstance(use, str) or use not in entries:
            merged.document.pop(table)
            merged.faults.append(_unknown(table, use, None if shop is None else entries, shop_name))
            continue
        entry = _in_shop_units(entries[use], shop_units)
        merged.document[table] = entry | own
        merged.from_shop.append(key_text((table, use)))
        merged.overrides += [f"{table}.{key}" for key in own]
        for key in entry.keys() - own.keys():
            merged.sources[table, key] = f"{shop_name}: {key_text((table, use, key))}"
    return merged


def _unknown(table: str, use: object, entries: Mapping[str, Any] | None, shop_name: str) -> Fault:
    if entries is None:
        known = f"there is no shop file; write the table out, or put {shop_name} beside the job"
    elif entries:
        known = f"the known ones are {', '.join(sorted(entries))}"
    else:
        known = f"{shop_name} has no [{table}.NAME]"
    return Fault((table, "use"), f"{shown(use)} is no {table} of the shop file; {known}")


def _in_shop_units(value: Any, units: Units) -> Any:
    """Every number and text marked with the units of the file it comes from."""
    if isinstance(value, dict):
        return {key: _in_shop_units(entry, units) for key, entry in value.items()}
    if isinstance(value, list):
        return [_in_shop_units(entry, units) for entry in value]
    if isinstance(value, int | float) and not isinstance(value, bool):
        return ShopNumber(value, units)
    return ShopText(value, units) if isinstance(value, str) else value

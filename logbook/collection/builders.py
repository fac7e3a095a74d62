"""What becomes of a table's values once each has been read: models, and the checks that need several keys at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from .kinds import FAILED, Context
from .model import Branch, Entry, Normals, Pot, Settings, Site, Tree
from .yaml_reader import Mapping as MappingNode


def made(model: Callable[..., Any], **renamed: str) -> Callable[..., Any]:
    """A builder that calls `model`, giving keys that are no Python names another one."""

    def build(values: dict[str, Any], context: Context, node: MappingNode) -> Any:  # noqa: ARG001
        return model(**{renamed.get(key, key): value for key, value in values.items()})

    return build


def entry_of(values: dict[str, Any], context: Context, node: MappingNode) -> Any:
    if node.shared:
        return context.fault(node, "a log entry is an anchor or an alias", "write each entry out")
    if "from" in values:
        values["source"] = values.pop("from")
    return Entry(place=context.document.place(node), **values)


def branch_of(values: dict[str, Any], context: Context, node: MappingNode) -> Any:
    return Branch(place=context.document.place(node), **values)


def tree_of(values: dict[str, Any], context: Context, node: MappingNode) -> Any:
    species, group = values.get("species"), values.get("group")
    if not species and not group:
        return context.fault(node, "a tree lacks 'species'", "add: species: … (botanical name), or group: …")
    advice = context.species_advice(species) if species and not group else None
    if advice:
        context.problems.append(replace(advice, place=context.document.place(node.items["species"])))
        if advice.severity == "error":
            return FAILED
    return Tree(place=context.document.place(node), path=context.document.path, **values)


def pot_of(values: dict[str, Any], context: Context, node: MappingNode) -> Any:
    wanted = (2, 3) if values["shape"] in ("round", "drum", "bowl") else (3,)
    for key in ("inner", "outer"):
        if key in values and len(values[key]) not in wanted:
            article = "an" if values["shape"][0] in "aeiou" else "a"
            form = "[diameter, depth]" if 2 in wanted else "[length, width, depth]"
            return context.fault(
                node.items[key],
                f"{len(values[key])} numbers don't measure {article} {values['shape']} pot",
                f"write {form}",
            )
    if "areas" in values and (len(values["areas"]) < 2 or "inner" not in values):
        return context.fault(
            node.items["areas"],
            "cross-sections need two areas or more, and 'inner' with the depth last",
            "areas: [110, 150, 180] beside inner: [220, 160, 60]",
        )
    return Pot(**values)


def normals_of(values: dict[str, Any], context: Context, node: MappingNode) -> Any:
    tmin, tmax = values["tmin"], values["tmax"]
    sound = True
    for month, (low, high) in enumerate(zip(tmin, tmax, strict=True)):
        if low > high:
            cell = node.items["tmin"].items[month]  # type: ignore[attr-defined]
            context.fault(
                cell,
                f"month {month + 1}: the mean minimum is above the mean maximum",
                "tmin holds the nights, tmax the days, January first",
            )
            sound = False
    coldest = values.get("coldest_night")
    if coldest is not None and coldest > min(tmin):
        context.fault(
            node.items["coldest_night"],
            "the coldest night is warmer than the coldest month's mean minimum",
            "give the average lowest reading of a year, as hardiness zones do",
        )
        sound = False
    return Normals(**values) if sound else FAILED


def site_of(values: dict[str, Any], context: Context, node: MappingNode) -> Any:  # noqa: ARG001
    frost = values.pop("frost", {})
    return Site(
        latitude=values["latitude"],
        longitude=values.get("longitude"),
        elevation_m=values.get("elevation"),
        normals=values.get("normals"),
        last_frost=frost.get("last"),
        first_frost=frost.get("first"),
    )


def settings_of(values: dict[str, Any], context: Context, node: MappingNode) -> Any:
    values.pop("format")
    values.pop("units", None)
    link = values.get("link", "")
    if link and "{file}" not in link and "{tag}" not in link:
        return context.fault(
            node.items["link"],
            "the link names no tree",
            "put {file} (trees/014.yaml) or {tag} (014) where the tree belongs",
        )
    return Settings(units=context.units, **values)

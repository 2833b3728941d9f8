"""A Design in a file: JSON with a schema version and the unit in every key, read whole and checked, written
whole or not at all.

Keys of sizes end in their SI unit: width_m, ring_angle_rad, modulus_Pa, shop_moisture_fraction. Numbers are
written so that reading gives the same float again. Definition of the form: this file. How it is written so
that nothing is lost: tonewood.files.
"""

from __future__ import annotations

import dataclasses
import json
import math
import os
import types
from pathlib import Path
from typing import Any, Union, get_args, get_origin, get_type_hints

import numpy as np

from tonewood import checks, files
from tonewood.neck.design import Design
from tonewood.wood.own import OwnWood, keep

SCHEMA = "tonewood design"
VERSION = 4
"""2 carries the builder's own woods and boards with the design that names them; 1 has none. 3 has layers of
the fretboard, channels cut from the back and glue lines that lean or taper; before it, there were none. 4
tells people what the signs of its angles mean."""
SIGNS = {
    "ring angle": "growth rings in the end view, seen from the body; 0 flat-sawn, a right angle on the "
                  "quarter; above 0 they fall towards the treble",
    "run-out": "grain seen from the side; above 0 it rises to the strings on its way to the body",
    "slope of grain": "grain on the face; above 0 it runs to the treble on its way to the body",
    "line leans": "glue line to the next stripe in the end view; above 0 its lower end lies to the treble",
    "line tapers": "the same line on the face; above 0 its end at the body lies to the treble"}
"""What an angle means and which way is above 0, as sawn (wood.elastic, neck.layup)."""
_UNITS = {"m": ("width", "nut_width", "end_width", "length", "depth_nut", "depth_end", "thickness",
                "slot_depth", "depth", "start", "end", "offset", "below", "scale_length", "action_bass",
                "action_treble", "nut_spread", "bridge_spread"),
          "rad": ("ring_angle", "run_out", "slope", "leans", "tapers"),
          "kg": ("weight",), "kg_per_m": ("rod_mass",), "kg_per_m3": ("density",),
          "Pa": ("modulus", "shear_modulus", "E_L", "E_R", "E_T", "G_LR", "G_LT", "G_RT"),
          "per_moisture": ("movement_longitudinal", "movement_radial", "movement_tangential"),
          "fraction": ("shop_moisture", "slot_fill")}
_KEY = {field: f"{field}_{unit}" for unit, fields in _UNITS.items() for field in fields}


def to_text(design: Design) -> str:
    """The design as JSON text.

    >>> from tonewood.neck.design import example_design
    >>> to_text(example_design()).splitlines()[1]
    ' "schema": "tonewood design",'
    """
    return closed(SCHEMA, VERSION, {"signs": SIGNS, **plain(design), "own_woods": plain(design.own_woods())})


def closed(schema: str, version: int, data: dict[str, Any]) -> str:
    """Plain data as the JSON text of a file of ours: what `opened` opens. Raises ValueError for a version
    that is no count.

    >>> opened(closed("a list", 1, {"length": 2}), "file", "a list", 1)
    {'version': 1, 'length': 2}
    """
    version = checks.whole("version", version, 1)
    return json.dumps({"schema": schema, "version": version, **data}, indent=1, ensure_ascii=False) + "\n"


def plain(thing: Any) -> Any:
    """A dataclass, tuple or number as plain data for JSON, the unit in every key.
    >>> from tonewood.neck.design import Joint
    >>> plain(Joint("bolt-on"))["kind"]
    'bolt-on'
    """
    if dataclasses.is_dataclass(thing):
        return {_KEY.get(f.name, f.name): plain(getattr(thing, f.name)) for f in dataclasses.fields(thing)}
    if isinstance(thing, tuple):
        return [plain(item) for item in thing]
    return thing.item() if isinstance(thing, np.generic) else thing


def from_text(text: str, where: str = "design") -> Design:
    """The Design of a JSON text. Raises ValueError that names `where`, the field, what was given and what is
    accepted.

    >>> from tonewood.neck.design import example_design
    >>> from_text(to_text(example_design())) == example_design()
    True
    """
    data = opened(text, where, SCHEMA, VERSION)
    version = data["version"]
    if version > 1:
        if "own_woods" not in data:
            raise ValueError(f"{where}: own_woods missing; accepted: a list, empty where there is none")
        listed = data["own_woods"] if isinstance(data["own_woods"], list) else [data["own_woods"]]
        for i, own in enumerate(listed):                # one by one: a later one may name an earlier one
            keep(made(OwnWood, own, f"{where}, own_woods[{i + 1}]"))
    bare = ("version", "signs", *["own_woods"][:version - 1])
    if version < 3:
        data |= {"leans_rad": [], "tapers_rad": []}
        for part, usual in (("fretboard", {"under": []}), ("channel", {"below_m": 0.0})):
            if isinstance(data.get(part), dict):
                data[part] = usual | data[part]
    return made(Design, {k: v for k, v in data.items() if k not in bare}, where)


def opened(text: str, where: str, schema: str, newest: int) -> dict[str, Any]:
    """The plain data of a JSON file of ours, its version with it, without the schema's name. Raises
    ValueError that names `where` for a text of another kind, another schema or a version above `newest`.

    >>> opened('{"schema": "a list", "version": 1, "length": 2}', "file", "a list", 1)
    {'version': 1, 'length': 2}
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as problem:
        raise ValueError(f"{where}: not a {schema.split()[-1]} file: {problem}") from None
    if not isinstance(data, dict) or data.get("schema") != schema:
        given = data.get("schema") if isinstance(data, dict) else type(data).__name__
        raise ValueError(f"{where}, schema: {given!r} given; accepted: {schema!r}")
    version = data.get("version")
    if type(version) is not int or version < 1:
        raise ValueError(f"{where}, version: {version!r} given; accepted: a whole number from 1 to {newest}")
    if version > newest:
        raise ValueError(f"{where}, version: {version} given; accepted: up to {newest}. A newer edition of "
                         "these lessons wrote it; open it there, or bring this one up to date")
    return {key: value for key, value in data.items() if key != "schema"}


def made(kind: Any, data: Any, where: str) -> Any:
    """Plain data of a JSON file as a value of the annotated type `kind`; where: what to call its place.
    Raises ValueError that names place and field.
    >>> made(tuple[int, ...], [1, 2], "frets")
    (1, 2)
    """
    options = get_args(kind) if get_origin(kind) in (Union, types.UnionType) else (kind,)
    if data is None and type(None) in options:
        return None
    kind = next(o for o in options if o is not type(None))
    if get_origin(kind) is tuple:
        if not isinstance(data, list):
            raise ValueError(f"{where}: {data!r} given; accepted: a list")
        return tuple(made(get_args(kind)[0], item, f"{where}[{i + 1}]") for i, item in enumerate(data))
    if dataclasses.is_dataclass(kind):
        return _object(kind, data, where)
    good: Any = {float: (int, float), int: int, str: str, bool: bool}[kind]
    if not isinstance(data, good) or isinstance(data, bool) is not (kind is bool) or (
            kind is float and not math.isfinite(data)):
        accepted = {float: "a finite number", int: "a whole number", str: "text",
                    bool: "true or false"}[kind]
        raise ValueError(f"{where}: {data!r} given; accepted: {accepted}")
    return kind(data)


def _object(kind: Any, data: Any, where: str) -> Any:
    if not isinstance(data, dict):
        raise ValueError(f"{where}: {data!r} given; accepted: an object with the fields of {kind.__name__}")
    fields = {_KEY.get(f.name, f.name): f for f in dataclasses.fields(kind)}
    try:
        checks.choice_of("field", data, fields)
    except ValueError as problem:
        raise ValueError(f"{where}, {problem}") from None
    missing = [key for key in fields if key not in data]
    if missing:
        raise ValueError(f"{where}: {', '.join(missing)} missing; accepted: every field of {kind.__name__}")
    hints = get_type_hints(kind)
    values = {f.name: made(hints[f.name], data[key], f"{where}, {key}") for key, f in fields.items()}
    try:
        return kind(**values)
    except ValueError as problem:
        raise ValueError(f"{where}: {problem}") from None


def save(design: Design, path: str | os.PathLike[str]) -> Path:
    """Write the design to a file; an earlier file of that name is kept beside it with `.before` behind its
    name. Returns the path.

    Raises ValueError that says why nothing was written: no such folder, a folder or device in its place, no
    right, no room.

    >>> import tempfile
    >>> from tonewood.neck.design import example_design
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     load(save(example_design(), Path(folder) / "neck.json")) == example_design()
    True
    """
    return files.write(path, to_text(design))


def load(path: str | os.PathLike[str]) -> Design:
    """The Design kept in a file. Raises ValueError that names the file and the field.

    >>> load("nowhere.json")
    Traceback (most recent call last):
    ValueError: nowhere.json: no such file; accepted: a file that was kept before
    """
    return from_text(files.read(path), Path(path).name)

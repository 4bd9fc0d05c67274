"""A job file: one YAML file that names machine, pieces, stock, cuts, jigs and setups."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePath
from typing import Any, Literal, get_origin, get_type_hints

from pydantic import BaseModel, Field, TypeAdapter

from jigs.errors import Place, ReadingError, ReadingErrors, nearest
from jigs.fields import Length, PositiveLength
from jigs.kinds import kinds
from jigs.model.kind import FromStock
from jigs.model.number import Number, Standing, Value
from jigs.reading.batches import Batches, with_batches
from jigs.reading.models import JobModel, MachineFile
from jigs.reading.names import NAME_PATTERN
from jigs.reading.source import Source, load
from jigs.reading.validate import validate
from jigs.shop.base import ShopModel
from jigs.shop.machine import Machine
from jigs.units import Units


@dataclass(frozen=True)
class Instance:
    """A named jig: its kind, choices, and the numbers that the user put in a rule's place."""

    name: str
    kind: str
    options: BaseModel
    replaced: Mapping[str, Number]
    stock: Mapping[str, Number] = field(default_factory=dict)
    """Facts of its stock as measured on the jig that exists."""


@dataclass(frozen=True)
class Job:
    """A job as read: models, and where each value stands."""

    stem: str
    model: JobModel
    machine: Machine
    instances: Mapping[str, Instance]
    source: Source
    machine_source: Source
    machine_at: tuple[str | int, ...]
    measured: Batches = field(default_factory=Batches)

    def where(self, *keys: str | int) -> str:
        """File and line of a value of the job file; empty where it is not written there."""
        return _where(self.source, keys)

    def where_machine(self, dotted: str) -> str:
        """File and line of a value of the machine."""
        return _where(self.machine_source, (*self.machine_at, *dotted.split(".")))


def read_job(
    path: Path, *, skip_bad: bool = False, measured: Mapping[str, Path] | None = None
) -> Job:
    """Read and check a job file, and the files of machine and measured pieces that it names.

    Parameters: skip_bad = leave out measured pieces whose line cannot be read; measured = CSV
    files in the place of what the job names, by piece. Raises ReadingError or ReadingErrors with
    file, line, key path, what was found and what would be right.
    """
    path = Path(path)
    source = load(path)
    units = _units(source)
    source, batches = with_batches(source, units, path.parent, skip_bad=skip_bad, instead=measured)
    model = validate(JobModel, source, units=units)
    machine, machine_source, machine_at = _machine(model, source, units, path)
    job = Job(
        path.stem, model, machine, _instances(model, source, units), source, machine_source,
        machine_at, batches,
    )  # fmt: skip
    _check_names(job)
    return job


def _units(source: Source) -> Units:
    class Peek(BaseModel):
        units: Units = Units.MM

    try:
        return Peek.model_validate(source.data).units
    except ValueError:
        return Units.MM  # the whole model will say so with its place


def _machine(
    model: JobModel, source: Source, units: Units, path: Path
) -> tuple[Machine, Source, tuple[str | int, ...]]:
    if not isinstance(model.machine, str | dict):
        raise ReadingError(
            source.place(("machine",)),
            "this is neither a machine nor the path of a machine file",
            source.found(("machine",)),
            "machines/bench_router.yaml, for example",
        )
    if not isinstance(model.machine, str):
        return validate(Machine, source, units=units, at=("machine",)), source, ("machine",)
    file = path.parent / model.machine
    try:
        other = load(file)
    except ReadingError as error:
        if error.place.line:
            raise
        raise ReadingError(
            source.place(("machine",)),
            f"the machine file cannot be read: {error.problem}",
            model.machine or "nothing",
            f"the path of a machine file, as seen from {path.parent}/",
        ) from error
    read = validate(MachineFile, other, units=_units(other))
    return read, other, ()


def _instances(model: JobModel, source: Source, units: Units) -> dict[str, Instance]:
    found: dict[str, Instance] = {}
    errors: list[ReadingError] = []
    for name in model.jigs:
        try:
            found[name] = _instance(name, source, units)
        except ReadingErrors as several:
            errors += several.errors
        except ReadingError as error:
            errors.append(error)
    if errors:
        raise errors[0] if len(errors) == 1 else ReadingErrors(errors)
    return found


def _instance(name: str, source: Source, units: Units) -> Instance:
    at = ("jigs", name)
    data = source.at(at)
    assert isinstance(data, dict)
    known = list(kinds())
    kind = data.get("kind")
    if not isinstance(kind, str) or kind not in known:
        raise ReadingError(
            source.place((*at, "kind")) if "kind" in data else source.place(at),
            f"what kind of jig is this{nearest(str(kind), known)}",
            source.found((*at, "kind")) or "no kind",
            f"kind: one of {', '.join(known)}",
        )
    model = instance_model(kind)
    read = validate(model, source, units=units, at=at)
    options = kinds()[kind].Options(
        **{field: getattr(read, field) for field in kinds()[kind].Options.model_fields
           if field in read.model_fields_set}
    )  # fmt: skip
    replaced: dict[str, Number] = {}
    stock: dict[str, Number] = {}
    for key, standing in (("set", Standing.GIVEN), ("built", Standing.BUILT)):
        block = getattr(read, key)
        for number in block.model_fields_set if block is not None else ():
            place = source.place((*at, key, number))
            if number in replaced:
                raise ReadingError(
                    place,
                    f"'{number}' is both set and built",
                    f"set: {source.found((*at, 'set', number))}, "
                    f"built: {source.found((*at, 'built', number))}",
                    "one of the two",
                )
            to = replaced if number in kinds()[kind].rules.cards else stock
            to[number] = Number(
                number, getattr(block, number), "", standing, where=_file_line(place)
            )
    return Instance(name, kind, options, replaced, stock)


_INSTANCE_MODELS: dict[str, type[BaseModel]] = {}


def instance_model(kind: str) -> type[BaseModel]:
    """The model of a jig's YAML section: its choices, and `set`/`built` with every number."""
    if kind not in _INSTANCE_MODELS:
        from pydantic import create_model

        numbers: dict[str, Any] = {}
        for card in kinds()[kind].rules.cards.values():
            if not card.settable:
                continue
            returns = get_type_hints(card.call)["return"]
            field_type = _field_type(returns, card.unit)
            numbers[card.name] = (field_type, Field(None, description=card.meaning))
        replaced = create_model(f"{kind}_numbers", __base__=ShopModel, **numbers)
        options = kinds()[kind].Options
        built = create_model(f"{kind}_built", __base__=replaced, **_stock_measured(options))
        sections: dict[str, Any] = {
            "kind": (Literal[kind], Field(description="which kind of jig")),
            "set": (replaced | None, Field(None, description="numbers that you want otherwise")),
            "built": (
                built | None,
                Field(None, description="numbers of a jig that exists, measured"),
            ),
        }
        _INSTANCE_MODELS[kind] = create_model(f"{kind}_jig", __base__=options, **sections)
    return _INSTANCE_MODELS[kind]


def _stock_measured(options: type[BaseModel]) -> dict[str, Any]:
    """What of a jig's stock can be measured on the jig itself."""
    marks = [mark for f in options.model_fields.values() for mark in f.metadata]
    lined = any(isinstance(mark, FromStock) and mark.section == "linings" for mark in marks)
    thick = Field(None, description="free thickness of the lining in it")
    return {"liner_thickness": (PositiveLength, thick)} if lined else {}


def _field_type(returns: Any, unit: str) -> Any:
    """What may be set in a rule's place; where it is one of a few, the rule says Literal."""
    if returns is float and unit == "mm":
        return Length
    if returns in (float, int, str, bool) or get_origin(returns) is Literal:
        return returns
    return tuple[Length, ...] if get_origin(returns) is tuple else float


def _check_names(job: Job) -> None:
    """Every name that is used is defined."""
    model, source = job.model, job.source
    errors: list[ReadingError] = []

    def known(keys: tuple[str | int, ...], name: str, names: Mapping[str, Any], what: str) -> None:
        if name not in names:
            errors.append(
                ReadingError(
                    source.place(keys),
                    f"there is no {what} '{name}'{nearest(name, list(names))}",
                    name,
                    f"one of: {', '.join(names) or 'none is defined'}",
                )
            )

    for name, cut in model.cuts.items():
        known(("cuts", name, "cutter"), cut.cutter, job.machine.cutters, "cutter on this machine")
    if model.making.cutter is not None:
        straight = [name for name, c in job.machine.cutters.items() if c.shape == "straight"]
        known(("making", "cutter"), model.making.cutter, dict.fromkeys(straight),
              "straight cutter on this machine")  # fmt: skip
    for name, setup in model.setups.items():
        at = ("setups", name)
        known((*at, "piece"), setup.piece, model.pieces, "piece")
        for i, jig in enumerate(setup.jigs):
            known((*at, "jigs", i), jig, model.jigs, "jig")
            instance = job.instances.get(jig)
            if instance is not None and setup.at not in kinds()[instance.kind].stands:
                errors.append(
                    ReadingError(
                        source.place((*at, "at")),
                        f"no {instance.kind} stands there",
                        setup.at,
                        f"at: {' or '.join(kinds()[instance.kind].stands)}",
                    )
                )
        for cut_name in setup.cuts:
            known((*at, "cut"), cut_name, model.cuts, "cut")
        if setup.at == "front face" and job.machine.front_face is None:
            errors.append(
                ReadingError(source.place((*at, "at")), "this machine has no front face", setup.at,
                             "a machine with front_face, or: at: table")
            )  # fmt: skip
        if setup.at == "front face" and setup.y is not None:
            errors.append(
                ReadingError(source.place((*at, "y")), "what hangs has its y from its jig",
                             f"{setup.y:g}", "leave y out")
            )  # fmt: skip
    _check_distinct(job, errors)
    for name, instance in job.instances.items():
        for key, stock in stock_options(instance.options).items():
            chosen = getattr(instance.options, key)
            if chosen:
                what = stock.section.removesuffix("s")
                known(("jigs", name, key), chosen, getattr(model, stock.section), what)
    errors = errors or _misplaced(job)
    if errors:
        raise errors[0] if len(errors) == 1 else ReadingErrors(errors)


def stock_options(options: BaseModel) -> dict[str, FromStock]:
    """The choices of a jig that name something of the stock."""
    return {
        name: mark
        for name, field in type(options).model_fields.items()
        for mark in field.metadata
        if isinstance(mark, FromStock)
    }


def _misplaced(job: Job) -> list[ReadingError]:
    """Jigs that stand in no setup, or in more places than one."""
    source, errors = job.source, []
    stands: dict[str, str] = {}
    for name, setup in job.model.setups.items():
        for i, jig in enumerate(setup.jigs):
            place = source.place(("setups", name, "jigs", i))
            if jig in stands:
                where = "twice in this setup" if stands[jig] == name else "in two setups"
                right = f"only one place; the other is setups.{stands[jig]}"
                errors.append(ReadingError(place, f"the jig '{jig}' stands {where}", jig, right))
            stands.setdefault(jig, name)
    for jig in job.instances:
        if jig not in stands:
            names = ", ".join(job.model.setups)
            errors.append(
                ReadingError(
                    source.place(("jigs", jig), of_key=True),
                    f"the jig '{jig}' stands in no setup",
                    jig,
                    f"{jig} among the jigs of one of the setups: {names}",
                )
            )
    return errors


def _check_distinct(job: Job, errors: list[ReadingError]) -> None:
    """Pieces, cuts, jigs and setups share one list of names in reports, folders and remedies."""
    taken = {"machine": "the machine"}
    for section in ("pieces", "cuts", "jigs", "setups"):
        for name in getattr(job.model, section):
            folded = name.casefold()
            if folded in taken:
                errors.append(
                    ReadingError(
                        job.source.place((section, name), of_key=True),
                        f"this name is already used by {taken[folded]}", name,
                        "a name of its own, also in small letters",
                    )
                )  # fmt: skip
            taken.setdefault(folded, f"{section}.{name}")


def _where(source: Source, keys: tuple[str | int, ...]) -> str:
    return _file_line(source.place(keys)) if source.has(keys) else ""


def _file_line(place: Place) -> str:
    """Without folders, so that a report is the same wherever the job lies."""
    return f"{PurePath(place.file).name}:{place.line}"


def job_schema() -> dict[str, Any]:
    """JSON Schema of a job file, for editors that complete while typing."""
    schema = JobModel.model_json_schema()
    definitions = schema.setdefault("$defs", {})
    machine = TypeAdapter(Machine).json_schema(ref_template="#/$defs/{model}")
    definitions.update(machine.pop("$defs", {}))
    definitions["Machine"] = machine
    sections = []
    for name in kinds():
        one = instance_model(name).model_json_schema(ref_template="#/$defs/{model}")
        definitions.update(one.pop("$defs", {}))
        definitions[f"{name}_jig"] = one
        sections.append({"$ref": f"#/$defs/{name}_jig"})
    properties = schema["properties"]
    del properties["machine"]["title"]
    properties["machine"]["anyOf"] = [{"type": "string"}, {"$ref": "#/$defs/Machine"}]
    properties["jigs"]["patternProperties"] = {NAME_PATTERN: {"oneOf": sections}}
    for named in properties.values():
        if "patternProperties" in named:
            named["additionalProperties"] = False
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def machine_schema() -> dict[str, Any]:
    """JSON Schema of a machine file."""
    schema = MachineFile.model_json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


__all__ = ["Instance", "Job", "Value", "job_schema", "machine_schema", "read_job"]

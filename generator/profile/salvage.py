"""What can still be used of a profile with errors, so that checks between parts run over the sound ones."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any

from pydantic import BaseModel, Field, TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from generator.profile.shapes import as_model, fields_by_key, key_of, list_value, mapping_value


class Unknown:
    """Stands for a value that the file does not give: false, empty, equal to nothing, as is all inside it."""

    def __getattr__(self, name: str) -> Unknown:
        if name.startswith("__"):
            raise AttributeError(name)
        return self

    def __call__(self, *_: Any, **__: Any) -> Unknown:
        return self

    def __getitem__(self, _: Any) -> Unknown:
        return self

    def __iter__(self) -> Iterator[Any]:
        return iter(())

    def __bool__(self) -> bool:
        return False

    def __len__(self) -> int:
        return 0

    def __lt__(self, _: object) -> bool:
        return False

    __le__ = __gt__ = __ge__ = __lt__


UNKNOWN = Unknown()


def salvage(
    model: type[BaseModel], data: Any, context: dict[str, Any] | None
) -> tuple[BaseModel, frozenset[str]]:
    """A stand-in for ``model`` without the faulty parts, and the ids that were left out.

    Entries of mappings with errors are dropped; a nested model with errors keeps its sound fields; a faulty
    field takes its default, or UNKNOWN. Validators over a whole faulty model do not run. Ids under an unknown
    key, and the names of sections that are no mapping, count as left out too: nothing can be said of them.
    """
    broken: set[str] = set()
    return _hollow(model, data if isinstance(data, dict) else {}, context, broken), frozenset(broken)


def _hollow(
    model: type[BaseModel], data: dict[str, Any], context: dict[str, Any] | None, broken: set[str]
) -> BaseModel:
    values: dict[str, Any] = {}
    given: set[str] = set()
    for name, field in model.model_fields.items():
        key = key_of(name, field)
        if key in data:
            given.add(name)
            values[name] = _value(key, field, data[key], context, broken)
        else:
            values[name] = _absent(field)
    for key in data.keys() - fields_by_key(model).keys():
        broken.update(data[key] if isinstance(data[key], dict) else ())
    return model.model_construct(given, **values)


def _value(key: str, field: FieldInfo, data: Any, context: dict[str, Any] | None, broken: set[str]) -> Any:
    adapter: TypeAdapter[Any] = TypeAdapter(_whole(field))
    try:
        return adapter.validate_python(data, context=context)
    except ValidationError as error:
        failing = {str(entry["loc"][0]) for entry in error.errors(include_url=False) if entry["loc"]}
    model = as_model(field.annotation)
    if mapping_value(field.annotation) is not None:
        if not isinstance(data, dict):
            broken.add(key)
            return {}
        broken.update(failing & data.keys())
        try:
            sound = {k: v for k, v in data.items() if k not in failing}
            bare: Any = field.annotation
            loose: TypeAdapter[Any] = TypeAdapter(bare)
            return loose.validate_python(sound, context=context)
        except ValidationError:
            broken.update(data)
            return {}
    if model is not None and isinstance(data, dict):
        return _hollow(model, data, context, broken)
    return _absent(field)


def _absent(field: FieldInfo) -> Any:
    """A missing or faulty field's stand-in."""
    if not field.is_required():
        return field.get_default(call_default_factory=True, validated_data={})
    model = as_model(field.annotation)
    if model is not None:
        return _hollow(model, {}, None, set())
    if mapping_value(field.annotation) is not None:
        return {}
    return [] if list_value(field.annotation) is not None else UNKNOWN


def _whole(field: FieldInfo) -> Any:
    """A field's type with its bounds and discriminator, but without what only a model may use (its alias)."""
    kind: Any = field.annotation
    for note in field.metadata:
        kind = Annotated[kind, note]
    return Annotated[kind, Field(discriminator=field.discriminator)] if field.discriminator else kind

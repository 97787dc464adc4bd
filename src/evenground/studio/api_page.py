"""The interface's documentation page in the app's own look: made from its schema, with no script at all."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from ninja import NinjaAPI
from ninja.openapi.docs import DocsBase

__all__ = ["SheetDocs"]

Schema = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldLine:
    """One field of a body, a form or an answer."""

    name: str
    kind: str
    wanted: bool
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AddressPart:
    """One address: what it does, takes and gives."""

    method: str
    path: str
    does: str
    sent_as: str
    takes: tuple[FieldLine, ...]
    gives: tuple[FieldLine, ...]


class SheetDocs(DocsBase):
    """Draws the page from the schema that the interface gives to programs."""

    def render_page(self, request: HttpRequest, api: NinjaAPI, **kwargs: Any) -> HttpResponse:
        """Show every address."""
        schema = api.get_openapi_schema(path_params=kwargs)
        context = {
            "about": schema["info"]["description"],
            "addresses": list(_addresses(schema)),
            "schema_at": self.get_openapi_url(api, kwargs),
        }
        return render(request, "studio/api-docs.html", context)


def _addresses(schema: Schema) -> Iterator[AddressPart]:
    parts = schema.get("components", {}).get("schemas", {})
    for path, methods in schema["paths"].items():
        for method, said in methods.items():
            content: Schema = said.get("requestBody", {}).get("content", {})
            nothing: tuple[str, Schema] = ("", {})
            sent_as, body = next(iter(content.items()), nothing)
            good: list[Schema] = [answer for code, answer in said["responses"].items() if str(code) == "200"]
            gives = good[0].get("content", {}).get("application/json", {}) if good else {}
            yield AddressPart(
                method=method.upper(),
                path=path,
                does=said.get("description", said.get("summary", "")),
                sent_as=sent_as,
                takes=(*_asked(said), *_fields(body.get("schema", {}), parts)),
                gives=tuple(_fields(gives.get("schema", {}), parts)),
            )


def _asked(said: Schema) -> Iterator[FieldLine]:
    """What stands in the address after a question mark."""
    for asked in said.get("parameters", ()):
        if asked["in"] == "query":
            kind = _kind(asked["schema"], {})
            yield FieldLine(name=f"?{asked['name']}", kind=kind, wanted=asked["required"], note="")


def _fields(schema: Schema, parts: Schema) -> Iterator[FieldLine]:
    whole = _found(schema, parts)
    wanted = whole.get("required", ())
    for name, said in whole.get("properties", {}).items():
        note = said.get("description", "")
        yield FieldLine(name=name, kind=_kind(said, parts), wanted=name in wanted, note=note)


def _found(schema: Schema, parts: Schema) -> Schema:
    """The schema itself, or the one that it refers to."""
    name = schema.get("$ref", "").rpartition("/")[2]
    found: Schema = parts.get(name, schema)
    return found


def _kind(said: Schema, parts: Schema) -> str:
    """What a field holds, in words."""
    said = _found(said, parts)
    if "anyOf" in said:
        kinds = [_kind(one, parts) for one in said["anyOf"]]
        return " or ".join(dict.fromkeys("nothing" if kind == "null" else kind for kind in kinds))
    words = said.get("enum", [said["const"]] if "const" in said else [])
    if words:
        return " or ".join(map(str, words))
    if said.get("type") == "array":
        return f"list of {_kind(said.get('items', {}), parts)}"
    low, high = said.get("minimum", said.get("exclusiveMinimum")), said.get("maximum")
    span = f", {low} to {high}" if low is not None and high is not None else ""
    return f"{said.get('format') or said.get('type', 'anything')}{span}"

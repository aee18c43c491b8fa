"""Recorded sessions against the types of the Language Server Protocol 3.17, as the package lsprotocol has made them
from the protocol's own meta model. Nothing may be missing, be of another type, or be there without a name in the
protocol; null may stand only where the protocol has it. Every request of the client is answered once, and messages go the
way they may go. What a preset has an editor say of itself is what it is.
"""

import enum
import functools
import json
import sys
import typing
from collections import Counter

import attrs
from lsprotocol import types

NAMES = vars(types)
ERROR_CODES = {code.value for code in [*types.ErrorCodes, *types.LSPErrorCodes]}


def camel(name):
    """A property's name in the protocol."""
    head, *rest = name.rstrip("_").split("_")
    return head + "".join(word.capitalize() for word in rest)


def fits(value, kind, where):
    """What is wrong with a value as one of a type: a list of places with what is wrong there."""
    if isinstance(kind, str):
        kind = NAMES[kind]
    if isinstance(kind, typing.ForwardRef):
        kind = NAMES[kind.__forward_arg__]
    if kind is typing.Any or kind is object:
        return []
    origin, parts = typing.get_origin(kind), typing.get_args(kind)
    if origin is typing.Union:
        return min((fits(value, part, where) for part in parts), key=len)
    if origin is list or origin is tuple:
        inner = parts[0] if origin is list else typing.Union[parts]
        if not isinstance(value, list):
            return [f"{where}: {value!r:.80} is no list"]
        return [wrong for number, item in enumerate(value) for wrong in fits(item, inner, f"{where}[{number}]")]
    if origin is dict:
        if not isinstance(value, dict):
            return [f"{where}: {value!r:.80} is no object"]
        return [wrong for key, item in value.items() for wrong in fits(item, parts[1], f"{where}.{key}")]
    if attrs.has(kind):
        return fits_class(value, kind, where)
    if issubclass(kind, enum.Enum):
        known = [member.value for member in kind]
        return [] if value in known and not isinstance(value, bool) else [f"{where}: {value!r} is none of {known}"]
    whole = isinstance(value, int) and not isinstance(value, bool)
    right = {int: whole, float: whole or isinstance(value, float), type(None): value is None}.get(kind)
    right = isinstance(value, kind) if right is None else right
    return [] if right else [f"{where}: {value!r:.80} is no {kind.__name__}"]


@functools.cache
def hints_of(kind):
    return typing.get_type_hints(kind, NAMES)


def fits_class(value, kind, where):
    if not isinstance(value, dict):
        return [f"{where}: {value!r:.80} is no {kind.__name__}"]
    hints = hints_of(kind)
    wrong, unknown = [], set(value)
    for field in attrs.fields(kind):
        name = camel(field.name)
        here = f"{where}.{name}"
        unknown.discard(name)
        if name not in value:
            # A property with a default other than None is one whose value the protocol fixes.
            if field.default is attrs.NOTHING or field.default is not None:
                wrong.append(f"{here} is missing")
        elif value[name] is None and not null_may_stand(kind, field):
            wrong.append(f"{here} is null")
        elif isinstance(field.default, str) and value[name] != field.default:
            wrong.append(f"{here}: {value[name]!r:.80} is not {field.default!r}")
        else:
            wrong += fits(value[name], hints[field.name], here)
            wrong += out_of_range(value[name], field, here)
    return wrong + [f"{where}.{name} is not in the protocol" for name in sorted(unknown)]


def null_may_stand(kind, field):
    return types.is_special_property(kind, field.name) or field.name in ("result", "params", "initialization_options")


def out_of_range(value, field, where):
    if field.validator is None or not isinstance(value, int):
        return []
    try:
        field.validator(None, field, value)
        return []
    except (TypeError, ValueError) as error:
        return [f"{where}: {error}"]


def method_of(message, by_server, asked, where):
    """The method a message is of, or an answer to; and what is wrong with it as that."""
    method = message.get("method")
    if method is None:
        method = asked.pop((not by_server, json.dumps(message["id"])), None)
        return method, [] if method else [f"{where}: an answer to no question: {message!r:.200}"]
    if method not in types.METHOD_TO_TYPES:
        return None, [f"{where}: {method} is not in the protocol"]
    if "id" in message:
        asked[by_server, json.dumps(message["id"])] = method
    may_send = types.message_direction(method)
    goes_right = may_send in ("both", "serverToClient" if by_server else "clientToServer")
    return method, [] if goes_right else [f"{where}: {method} goes the other way"]


def check(message, method, where):
    if "error" in message:
        error = message["error"]
        fine = error["code"] in ERROR_CODES and isinstance(error["message"], str)
        return [] if fine else [f"{where}: {method}: {error!r:.200}"]
    kinds = types.METHOD_TO_TYPES[method]
    return fits(message, kinds[0] if "method" in message else kinds[1], f"{where}: {method}")


def main():
    wrong, seen = [], Counter()
    for name, session in json.load(sys.stdin).items():
        asked = {}
        for said in session["said"]:
            by_server, message, where = said["by"] == "server", said["message"], f"{name}, {said['by']}"
            method, problems = method_of(message, by_server, asked, where)
            wrong += problems
            if method and not (session["preset"] and method == "initialize" and not by_server):
                seen[method] += 1
                wrong += check(message, method, where)
        # A server's question may be on its way when the client leaves.
        wrong += [f"{name}: no answer to {method}" for (by_server, _), method in asked.items() if not by_server]
    assert not wrong, f"{len(wrong)} wrong:\n" + "\n".join(sorted(set(wrong))[:40])
    print(f"{sum(seen.values())} messages of {len(seen)} methods agree")


main()

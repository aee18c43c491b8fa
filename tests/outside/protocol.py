"""A recorded session against the types of the Language Server Protocol 3.17, as the package lsprotocol has made them
from the protocol's own meta model. Nothing may be missing, be of another type, or be there without a name in the
protocol; null may stand only where the protocol has it. Every request is answered once, and messages go the way
they may go.
"""

import enum
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


def fits_class(value, kind, where):
    if not isinstance(value, dict):
        return [f"{where}: {value!r:.80} is no {kind.__name__}"]
    hints = typing.get_type_hints(kind, NAMES)
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


def main():
    wrong, seen = [], Counter()
    for number, session in enumerate(json.load(sys.stdin)):
        asked = {}
        for by_server, message in session:
            where = f"session {number}, {'server' if by_server else 'client'}"
            method = message.get("method")
            if method is None:
                key = (not by_server, json.dumps(message["id"]))
                if key not in asked:
                    wrong.append(f"{where}: an answer to no question: {message!r:.200}")
                    continue
                method = asked.pop(key)
                if "error" in message:
                    error = message["error"]
                    if error["code"] not in ERROR_CODES or not isinstance(error["message"], str):
                        wrong.append(f"{where}: {method}: {error!r:.200}")
                    continue
                kind = types.METHOD_TO_TYPES[method][1]
            else:
                if method not in types.METHOD_TO_TYPES:
                    wrong.append(f"{where}: {method} is not in the protocol")
                    continue
                kind = types.METHOD_TO_TYPES[method][0]
                may_send = types.message_direction(method)
                if may_send not in ("both", "serverToClient" if by_server else "clientToServer"):
                    wrong.append(f"{where}: {method} goes the other way")
                if "id" in message:
                    asked[by_server, json.dumps(message["id"])] = method
            seen[method] += 1
            wrong += fits(message, kind, f"{where}: {method}")
        wrong += [f"session {number}: no answer to {method}" for method in asked.values()]
    assert not wrong, f"{len(wrong)} wrong:\n" + "\n".join(sorted(set(wrong))[:40])
    print(f"{sum(seen.values())} messages of {len(seen)} methods agree")


main()

"""Questions, starting, and memory, measured from outside the process, over its pipes.

Each server holds a file of the same size with one finding in the middle; the questions are about that place, or
about the whole file. The clock runs from the first byte of a question to the last byte of its answer. A server
that does not know a question refuses it, and is not listed for it; what "nothing" takes to refuse one is what the
protocol costs.
"""

import os
import statistics
import tempfile

import samples
from edits import SIZES, place
from server import Server

ROUNDS, STARTS, TYPED = 40, 15, 2_000
ASKED = ["hover", "completion", "semanticTokens/full", "codeAction", "formatting"]
# Ruff checks the whole file at each edit: 2,000 of them would take minutes.
PATIENT = 20_000


def params(method, server, at):
    """What is asked about the place `at`."""
    about = {"textDocument": {"uri": server.uri}}
    if method in ("hover", "completion"):
        return {**about, "position": at}
    if method == "codeAction":
        return {**about, "range": {"start": at, "end": at}, "context": {"diagnostics": server.diagnostics}}
    if method == "formatting":
        return {**about, "options": {"tabSize": 4, "insertSpaces": True}}
    return about


def measure(folder, size):
    tunes, module = samples.tunes(size), samples.module(size)
    servers = {
        "lope": (["lope", "lsp"], "lope", "bench.lope", tunes, lambda line: line.endswith("|"), "?"),
        "ruff": (["ruff", "server"], "python", "bench.py", module, lambda line: line.endswith("+= step"), "z"),
        "nothing": (["silent"], "lope", "bench.lope", tunes, lambda line: line.endswith("|"), "?"),
    }
    running, places, starts, memory = {}, {}, {}, {}
    for name, (command, language, file, text, is_fit, slip) in servers.items():
        path = os.path.join(folder, file)
        with open(path, "w", encoding="utf-8") as written:
            written.write(text)
        start = lambda: Server(command, folder, language, "file://" + path, text)
        starts[name] = [started(start()) for _ in range(STARTS if size == SIZES[0] else 0)]
        running[name], places[name] = start(), place(text, is_fit)
        memory[name] = [running[name].memory()[0]]
        running[name].edit(places[name][0], places[name][0], slip)
        patient = name != "ruff" or size <= PATIENT
        memory[name].append(type_on(running[name], places[name], slip) if patient else None)
    times = {name: {method: [] for method in ASKED} for name in servers}
    for _ in range(ROUNDS):
        for method in ASKED:
            for name, server in running.items():
                took = server.request("textDocument/" + method, params(method, server, places[name][0]))
                if name == "nothing" or "error" not in server.answer:
                    times[name][method].append(took * 1000)
    for name, server in running.items():
        if starts[name]:
            print(f"  {name}: start to initialize {statistics.median(starts[name]) * 1000:.1f} ms", flush=True)
        asked = [statistics.median(took) if took else None for took in times[name].values()]
        report(size, name, asked, [*memory[name], server.memory()[0]])
        server.stop()


def started(server):
    server.stop()
    return server.started


def type_on(server, where, slip):
    """Resident memory after many edits, the text of the finding in and out in turn."""
    start, end = where
    for edit in range(TYPED):
        server.edit(start, end if edit % 2 == 0 else start, "" if edit % 2 == 0 else slip)
    return server.memory()[0]


def report(size, name, asked, memory):
    cell = lambda value, width, digits: " " * (width - 1) + "-" if value is None else f"{value:{width}.{digits}f}"
    cells = [cell(took, 10, 3) for took in asked] + [cell(held, 8, 1) for held in memory]
    print(f"{size:>9} {name:>8}", *cells, flush=True)


def main():
    print("questions: median ms; memory: resident MB once the file is open, after 2,000 edits, and after the questions")
    print("     size   server      hover completion     tokens     action formatting     open    typed    asked")
    with tempfile.TemporaryDirectory() as folder:
        for size in SIZES:
            measure(os.path.realpath(folder), size)


if __name__ == "__main__":
    main()

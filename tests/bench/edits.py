"""From an edit to its diagnostics, measured from outside the process, over its pipes.

Each server holds a file of the same size. At a place in the middle, text that makes a finding is put in and
taken out in turn; the clock runs from the first byte of the change going out to the last byte of the
diagnostics of that version coming in. The servers take turns, so that all meet the same machine.
"""

import os
import statistics
import tempfile

import samples
from server import Server

SIZES = [5_000, 20_000, 200_000, 2_000_000]
ROUNDS, EDITS = 10, 20


def place(text, is_fit):
    """The end of the fit line nearest to the middle, and the place one character on."""
    lines = text.split("\n")
    fit = [at for at, line in enumerate(lines) if is_fit(line)]
    row = min(fit, key=lambda at: abs(at - len(lines) // 2))
    column = len(lines[row])
    return {"line": row, "character": column}, {"line": row, "character": column + 1}


def measure(folder, size):
    tunes, module = samples.tunes(size), samples.module(size)
    in_tune = place(tunes, lambda line: line.endswith("|"))
    in_module = place(module, lambda line: line.endswith("+= step"))
    servers = {
        "lope": (["lope", "lsp"], "lope", "bench.lope", tunes, in_tune, "?"),
        "ruff": (["ruff", "server"], "python", "bench.py", module, in_module, "z"),
        "nothing": (["silent"], "lope", "bench.lope", tunes, in_tune, "?"),
    }
    running, times, found = {}, {name: [] for name in servers}, {name: 0 for name in servers}
    for name, (command, language, file, text, _, _) in servers.items():
        path = os.path.join(folder, file)
        with open(path, "w", encoding="utf-8") as written:
            written.write(text)
        running[name] = Server(command, folder, language, "file://" + path, text)
        assert not running[name].diagnostics, (name, size, running[name].diagnostics[:3])
    memory = {name: server.memory() for name, server in running.items()}
    for turn in range(ROUNDS + 1):
        for name, server in running.items():
            (start, end), text = servers[name][4:]
            for edit in range(EDITS):
                took = server.edit(start, start if edit % 2 == 0 else end, text if edit % 2 == 0 else "")
                # The first round warms up.
                if turn > 0:
                    times[name].append(took * 1000)
                    found[name] += bool(server.diagnostics)
    for name, server in running.items():
        report(name, size, len(servers[name][3].encode()), times, found, memory[name], server.memory())
        server.stop()


def report(name, size, actual, times, found, opened, ended):
    ranked = sorted(times[name])
    p50, p95 = statistics.median(ranked), ranked[len(ranked) * 95 // 100]
    ratio = p50 / statistics.median(times["ruff"])
    print(
        f"{size:>9} {name:>8} {actual:>9} {p50:8.3f} {p95:8.3f} {ratio:7.2f} {found[name]:>5} of {len(ranked)}"
        f" {opened[0]:9.1f} {ended[1]:9.1f}",
        flush=True,
    )


def main():
    print("edit to diagnostics")
    print("     size   server     bytes   p50 ms   p95 ms  / ruff  with finding   open MB   peak MB")
    with tempfile.TemporaryDirectory() as folder:
        for size in SIZES:
            measure(os.path.realpath(folder), size)


if __name__ == "__main__":
    main()

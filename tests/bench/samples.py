"""Files to measure on: tunes from the project's own generator, and Python modules of the same size."""

import os
import subprocess

FUNCTION = '''
def tally_{n}(steps, start={n}):
    """Add up the steps from the start."""
    total = start
    for step in steps:
        if step % 3 == 0:
            total += step
        else:
            total -= step * 2
    return {{"total": total, "name": "tally {n}"}}
'''


def tunes(size):
    """A file of clean tunes of about that many bytes."""
    return subprocess.run(["tunes", "file", str(size)], check=True, capture_output=True, text=True).stdout


def module(size, seed=0, finding=False):
    """A clean Python module of about that many bytes; with a finding, it imports what it never uses."""
    parts = [f'"""Module {seed}."""\n\n' + ("import os\n" if finding else "")]
    length = len(parts[0])
    while length < size:
        parts.append("\n" + FUNCTION.format(n=seed * 1000 + len(parts)))
        length += len(parts[-1])
    return "".join(parts)


def book(folder, count, size, finding):
    """A book of that many tunes of that size, made once."""
    if not os.path.exists(folder):
        subprocess.run(["tunes", "book", folder, str(count), str(size)] + ["one"] * finding, check=True)
    return total(folder)


def package(folder, count, size, finding):
    """A folder of that many Python modules of that size, made once."""
    for seed in range(0 if os.path.exists(folder) else count):
        path = os.path.join(folder, f"shelf_{seed // 250}", f"module_{seed}.py")
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(path, "w", encoding="utf-8") as file:
            file.write(module(size, seed, finding))
    return total(folder)


def total(folder):
    """How many bytes the files in a folder hold."""
    return sum(os.path.getsize(os.path.join(at, name)) for at, _, names in os.walk(folder) for name in names)

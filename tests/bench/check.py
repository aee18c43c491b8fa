"""Checking 10,000 tunes of about 2 KB beside ruff on as many Python files of the same size, and beside a
program that only walks the folder and reads the files on two threads. The programs take turns.

Memory is the peak of the process as the kernel reports it; this script's own size is its lowest value.
"""

import os
import statistics
import subprocess
import time

import samples

COUNT, SIZE, ROUNDS = 10_000, 2_000, 7


def run(command):
    """Seconds, peak MB and exit code of a run."""
    began = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    return time.perf_counter() - began, usage.ru_maxrss / 1024, os.waitstatus_to_exitcode(status)


def main():
    cache = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".cache")
    print("checking 10,000 files\n   files  program     bytes   best ms  median ms   MB/s  / ruff  / reading   peak MB")
    for kind, finding in (("clean", False), ("one each", True)):
        book, package = os.path.join(cache, f"book-{finding}"), os.path.join(cache, f"package-{finding}")
        tunes, modules = samples.book(book, COUNT, SIZE, finding), samples.package(package, COUNT, SIZE, finding)
        programs = {
            "lope": (["lope", "check", book], tunes, 1 if finding else 0),
            "ruff": (["ruff", "check", "--no-cache", "--isolated", package], modules, 1 if finding else 0),
            "reading": (["walk", book], tunes, 0),
        }
        runs = {name: [] for name in programs}
        for turn in range(ROUNDS + 1):
            for name, (command, _, code) in programs.items():
                ran = run(command)
                assert ran[2] == code, (command, ran)
                if turn > 0:
                    runs[name].append(ran)
        times = {name: statistics.median(ran[0] for ran in some) for name, some in runs.items()}
        speed = {name: programs[name][1] / times[name] / 1e6 for name in programs}
        for name, some in runs.items():
            best, peak = min(ran[0] for ran in some), max(ran[1] for ran in some)
            print(
                f"{kind:>8} {name:>8} {programs[name][1]:>9} {best * 1000:9.1f} {times[name] * 1000:10.1f}"
                f" {speed[name]:6.0f} {speed[name] / speed['ruff']:7.2f} {times[name] / times['reading']:10.2f}"
                f" {peak:9.1f}",
                flush=True,
            )


if __name__ == "__main__":
    main()

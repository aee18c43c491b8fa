"""A book of 10,000 tunes opened as a folder: when its findings come, what it takes to hold it, and what it is
like to type meanwhile.

The clock starts with the server. Until it says that it has gone through the book, and as
often again after that, text that makes a finding is put in and taken out of an open file of 20 KB, and the time
until the diagnostics of each version taken: while the book is gone through, beside idle.
"""

import os
import statistics
import time

import samples
from check import COUNT, SIZE
from edits import place
from server import Server

OPEN = 20_000


class Watched(Server):
    """A server with a folder open, and when it said what of it."""

    def __init__(self, folder, text):
        self.began, self.found, self.over = time.perf_counter(), [], None
        uri = f"file://{folder}/typed.lope"
        super().__init__(["lope", "lsp"], folder, "lope", uri, text)

    def receive(self):
        message = super().receive()
        params = message.get("params") or {}
        if "diagnostics" in params and params["uri"] != self.uri:
            self.found.append(self.arrived - self.began)
        if message.get("method") == "$/progress" and params["value"].get("kind") == "end":
            self.over = self.arrived - self.began
        return message


def measure(folder, kind, expected):
    text = samples.tunes(OPEN)
    server = Watched(folder, text)
    start, end = place(text, lambda line: line.endswith("|"))
    during, idle, peak = [], [], 0
    while server.over is None or len(idle) < len(during):
        before = server.over
        took = [server.edit(start, start, "?"), server.edit(start, end, "")]
        if before is not None:
            idle += took
        elif server.over is None:
            during += took
    assert len(server.found) == expected, (len(server.found), expected)
    settled, peak = server.memory()
    ms = lambda times, rank: sorted(times)[len(times) * rank // 100] * 1000
    first = f"{server.found[0] * 1000:9.0f} {server.found[-1] * 1000:8.0f}" if expected else "        -        -"
    print(
        f"{kind:>9} {first} {server.over * 1000:8.0f} {settled:7.1f} {peak:7.1f} {len(during):6}"
        f" {ms(during, 50):8.3f} {ms(idle, 50):8.3f} {ms(during, 50) / ms(idle, 50):6.2f}"
        f" {ms(during, 95):8.3f} {ms(idle, 95):8.3f}",
        flush=True,
    )
    server.stop()


def main():
    cache = os.path.realpath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".cache"))
    print("a book of 10,000 tunes: ms until findings come and until all are known; MB; ms from an edit to its findings")
    print("     book     first     last     done     end    peak  edits   during     idle  ratio   95 %    idle 95 %")
    for kind, finding in (("clean", False), ("one each", True)):
        book = os.path.join(cache, f"book-{finding}")
        samples.book(book, COUNT, SIZE, finding)
        measure(book, kind, COUNT if finding else 0)


if __name__ == "__main__":
    main()

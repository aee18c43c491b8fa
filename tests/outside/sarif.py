"""A SARIF log against the schema of the standard (OASIS, SARIF 2.1.0), as the package @microsoft/jest-sarif
carries it. Beyond the schema: every rule index points at the rule of that name (section 3.27.6 of the standard),
and every region lies inside its file, counted in the unit the run names (3.14.17).
"""

import json
import os
import sys
from urllib.parse import unquote

from jsonschema import Draft4Validator, FormatChecker

UNITS = {"utf16CodeUnits": lambda text: len(text.encode("utf-16-le")) // 2, "unicodeCodePoints": len}


def lines(run, location, root):
    """The lines of the file that a location names."""
    artifact = location["artifactLocation"]
    base = (run.get("originalUriBaseIds") or {}).get(artifact.get("uriBaseId"), {}).get("uri", "")
    path = unquote((base + artifact["uri"]).removeprefix("file://"))
    with open(os.path.join(root, path), encoding="utf-8", errors="replace", newline="") as file:
        return file.read().replace("\r\n", "\n").replace("\r", "\n").split("\n")


def main():
    question = json.load(sys.stdin)
    with open(question["schema"], encoding="utf-8") as file:
        schema = json.load(file)
    log = json.loads(question["text"])
    errors = list(Draft4Validator(schema, format_checker=FormatChecker()).iter_errors(log))
    assert not errors, "\n".join(f"{list(error.path)}: {error.message[:300]}" for error in errors)
    results = 0
    for run in log["runs"]:
        size = UNITS[run.get("columnKind", "utf16CodeUnits")]
        rules = run["tool"]["driver"]["rules"]
        for result in run["results"]:
            results += 1
            assert rules[result["ruleIndex"]]["id"] == result["ruleId"], result
            for location in result["locations"]:
                region = location["physicalLocation"]["region"]
                text = lines(run, location["physicalLocation"], question["folder"])
                first, last = region["startLine"], region.get("endLine", region["startLine"])
                assert 1 <= first <= last <= len(text), region
                assert region["startColumn"] <= size(text[first - 1]) + 1, region
                assert region["endColumn"] <= size(text[last - 1]) + 1, region
    assert results == question["results"], results
    print(f"{results} results agree")


main()

"""A JUnit report against the schema that build servers read it by: junit-10.xsd beside this file, by Gregory
Boissinot (MIT licence, in the file), of the Jenkins xUnit plugin. Beyond the schema: the counts are those of
the test cases.
"""

import io
import json
import os
import sys
from xml.etree import ElementTree

import xmlschema

SCHEMA = os.path.join(os.path.dirname(os.path.abspath(__file__)), "junit-10.xsd")


def main():
    question = json.load(sys.stdin)
    text = question["text"]
    xmlschema.XMLSchema(SCHEMA).validate(io.StringIO(text))
    failures = 0
    root = ElementTree.fromstring(text)
    for suite in root.iter("testsuite"):
        cases = suite.findall("testcase")
        failed = [case for case in cases if case.find("failure") is not None]
        broken = [case for case in cases if case.find("error") is not None]
        assert int(suite.get("tests")) == len(cases), suite.attrib
        assert int(suite.get("failures")) == len(failed), suite.attrib
        assert int(suite.get("errors", "0")) == len(broken), suite.attrib
        failures += sum(len(case.findall("failure")) for case in cases)
    assert failures == question["failures"], failures
    print(f"{failures} failures agree")


main()

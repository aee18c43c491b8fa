"""Our SVG before the document type definition of SVG 1.1 (W3C, second edition), as Debian's w3c-sgml-lib has it.

What ARIA and HTML add to SVG (`role`, `aria-` and `data-` attributes) the definition does not know: it is taken off
before the definition is asked, and held to the names that those standards have.
"""

import json
import sys

from lxml import etree

DTD = "/usr/share/xml/w3c-sgml-lib/schema/dtd/REC-SVG11-20110816/svg11.dtd"
SVG = "{http://www.w3.org/2000/svg}"
ROLES = {"group", "img"}  # WAI-ARIA 1.2
ADDED = {"role", "aria-label", "data-bar", "data-event", "data-count", "data-finding"}


def validate(svg, dtd):
    tree = etree.fromstring(svg.encode())
    for element in tree.iter():
        assert element.get("role", "group") in ROLES, element.get("role")
        for name in ADDED & set(element.attrib):
            del element.attrib[name]
    assert dtd.validate(tree), dtd.error_log.filter_from_errors()
    assert tree[0].tag == f"{SVG}title" and tree[1].tag == f"{SVG}desc"


pictures = json.load(sys.stdin)
definition = etree.DTD(DTD)
for picture in pictures:
    validate(picture, definition)
print(f"{len(pictures)} valid")

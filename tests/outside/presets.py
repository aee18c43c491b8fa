"""What editors say of themselves when they start a server, as the package pytest-lsp has recorded it from the
editors: clientInfo and capabilities, by the editor's name and version.
"""

import importlib.util
import json
from pathlib import Path

# The package itself needs a test framework; its recordings are plain files.
FOLDER = Path(importlib.util.find_spec("pytest_lsp").origin).parent / "clients"

files = sorted(FOLDER.glob("*.json"))
print(json.dumps({file.stem: json.loads(file.read_text(encoding="utf-8")) for file in files}))

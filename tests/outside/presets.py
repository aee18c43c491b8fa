"""What editors say of themselves when they start a server, as the package pytest-lsp has recorded it from the
editors: by name, clientInfo and capabilities.
"""

import importlib.util
import json
from pathlib import Path

# The package itself needs a test framework; its recordings are plain files.
FOLDER = Path(importlib.util.find_spec("pytest_lsp").origin).parent / "clients"

print(json.dumps({file.stem: json.loads(file.read_text(encoding="utf-8")) for file in sorted(FOLDER.glob("*.json"))}))

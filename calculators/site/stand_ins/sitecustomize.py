"""Python runs this by itself as soon as it starts, before Pyodide imports anything."""

import browser_start

browser_start.use_compiled_texts()

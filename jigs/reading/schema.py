"""The JSON schemas that editors complete from: `python -m jigs.reading.schema configs`."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from jigs.reading.job import job_schema, machine_schema

JOB_FILE = "job.schema.json"
MACHINE_FILE = "machines/machine.schema.json"


def schema_texts() -> dict[str, str]:
    """Return the text of each schema file by its path below the folder of job files."""
    return {JOB_FILE: _text(job_schema()), MACHINE_FILE: _text(machine_schema())}


def write(folder: Path) -> list[Path]:
    """Write the schema files below a folder of job files; return their paths."""
    written = []
    for name, text in schema_texts().items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
        written.append(path)
    return written


def _text(schema: dict[str, Any]) -> str:
    return json.dumps(schema, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("configs"))

"""Writes the list of output columns, core/base/COLUMNS.md, from the library's own.

`--check` only says whether it is up to date.
"""

import re
import sys
from pathlib import Path

from shortedge import _core

PAGE = Path(__file__).parents[1] / "core/base/COLUMNS.md"
BEGIN, END = "<!-- columns: made by tests/columns_page.py -->\n", "<!-- end of columns -->"


def tables() -> str:
    lines = []
    for title, columns in _core.columns().items():
        lines += [f"**{title}**", "", "| column | unit | what | missing |", "|---|---|---|---|"]
        for column in columns:
            unit = column["unit"] or {"name": "text", "word": "text", "flag": "yes/no"}.get(column["kind"], "")
            words = f" ({', '.join(column['words'])})" if column["words"] and column["name"] != "status" else ""
            lines.append(f"| `{column['name']}` | {unit} | {column['says']}{words} | {column['missing']} |")
        lines.append("")
    return "\n".join(lines)


def main() -> int:
    text = PAGE.read_text()
    wanted = re.sub(f"{BEGIN}.*{END}", lambda _: f"{BEGIN}\n{tables()}{END}", text, flags=re.DOTALL)
    if "--check" in sys.argv:
        return wanted != text
    PAGE.write_text(wanted)
    return 0


if __name__ == "__main__":
    sys.exit(main())

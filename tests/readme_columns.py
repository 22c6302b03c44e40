"""Writes the README's list of output columns from the library's own. `--check` only says whether it is up to date."""

import re
import sys
from pathlib import Path

from shortedge import _core

README = Path(__file__).parents[1] / "README.md"
BEGIN, END = "<!-- columns: made by tests/readme_columns.py -->\n", "<!-- end of columns -->"


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
    text = README.read_text()
    wanted = re.sub(f"{BEGIN}.*{END}", lambda _: f"{BEGIN}\n{tables()}{END}", text, flags=re.DOTALL)
    if "--check" in sys.argv:
        return wanted != text
    README.write_text(wanted)
    return 0


if __name__ == "__main__":
    sys.exit(main())

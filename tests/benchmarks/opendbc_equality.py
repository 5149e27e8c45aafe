"""Every message and signal of every network description in the package opendbc, beside cantools.

python tests/benchmarks/opendbc_equality.py [payloads per message, 50 where not given] [kcd | sym]

kcd, sym: each description is written in that form by cantools first; what cantools cannot write and
read back is counted.
"""

import sys
import tempfile
from pathlib import Path

import cantools
import numpy as np
import opendbc

sys.path.insert(0, str(Path(__file__).parents[1]))

from cantools_comparison import Counts, can_database, compare_network

from decode.errors import InputFileError
from decode.network_files import read_network

SEED = 20_261_125


def compare(path: Path, form: str, payloads: int, rng: np.random.Generator) -> Counts:
    """Of the description as cantools writes it in another form."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"{path.stem}.{form}"
        try:
            cantools.database.dump_file(can_database(path), str(file))
            cantools.database.load_file(file, strict=False)
        except Exception as error:  # cantools lets errors of its own data out
            print(f"  {path.name}: cantools cannot write it as {form}: {error}")
            return Counts()
        return compare_network(file, payloads, rng)


def main() -> int:
    payloads = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    form = sys.argv[2] if len(sys.argv) > 2 else ""
    rng = np.random.default_rng(SEED)
    total, refused = Counts(), []
    files = sorted(Path(opendbc.__file__).parent.rglob("*.dbc"))
    for path in files:
        try:
            read_network(path, "bus")
        except InputFileError as error:
            refused.append(str(error).replace(str(path.parent), ""))
            continue
        total.add(
            compare(path, form, payloads, rng) if form else compare_network(path, payloads, rng)
        )
    print(f"files {len(files)}, of which cantools refuses {len(refused)}:")
    print("\n".join(f"  {line[:150]}" for line in refused))
    for name, value in vars(total).items():
        print(f"{name:12} {len(value) if isinstance(value, list) else value}")
    print("\n".join(total.mismatches[:20]))
    return 1 if total.mismatches else 0


if __name__ == "__main__":
    sys.exit(main())

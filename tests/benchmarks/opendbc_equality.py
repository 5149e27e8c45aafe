"""Every message and signal of every network description in the package opendbc, beside cantools.

python tests/benchmarks/opendbc_equality.py [payloads per message, 50 where not given]
"""

import sys
from pathlib import Path

import numpy as np
import opendbc

sys.path.insert(0, str(Path(__file__).parent.parent / "decode"))

from cantools_comparison import Counts, compare_network

from decode.errors import InputFileError
from decode.network_files import read_network

SEED = 20_261_125


def main() -> int:
    payloads = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    rng = np.random.default_rng(SEED)
    total, refused = Counts(), []
    files = sorted(Path(opendbc.__file__).parent.rglob("*.dbc"))
    for path in files:
        try:
            read_network(path, "bus")
        except InputFileError as error:
            refused.append(str(error).replace(str(path.parent), ""))
            continue
        total.add(compare_network(path, payloads, rng))
    print(f"files {len(files)}, of which cantools refuses {len(refused)}:")
    print("\n".join(f"  {line[:150]}" for line in refused))
    for name, value in vars(total).items():
        print(f"{name:12} {len(value) if isinstance(value, list) else value}")
    print("\n".join(total.mismatches[:20]))
    return 1 if total.mismatches else 0


if __name__ == "__main__":
    sys.exit(main())

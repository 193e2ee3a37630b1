"""A small depot for what labels say: bins, a van with a drawer, a handed part, a dated case, an exchange board."""

from __future__ import annotations

import shutil
import tempfile
from functools import cache
from pathlib import Path

from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file

FILES = {
    "operators": "initials,name,role,badge\nRH,Rena Holt,lead,70001\nTK,Tove Kern,technician,\n",
    "cautions": "code,word,text,severity,basis\nMAINS,DANGER,Mains voltage: unplug first.,1,local code\n",
    "places": """place,kind,parent,zone
VAN1,van,,
VAN1-D2,drawer,VAN1,
A-02-01-1,bin,,dry
A-10-01-1,bin,,dry
A-01-01-1,bin,,cool
B-01-01-1,bin,,cool
""",
    "items": """part_number,description,kind,pack_size,tracking,gtin,hand,viewpoint,cautions
MTR-L,Motor [/b] 24 V,part,1,quantity,,LH,seen from the door,MAINS
COLA,Cola 330,product case,24,lot,5901234123457,,,
BRD,Board,part,1,serial,,,,
""",
    "stock": "part_number,place,quantity\nMTR-L,B-01-01-1,2\n",
}


def label_depot(folder: Path) -> Path:
    """Put a copy of the depot into a folder and return its path."""
    return Path(shutil.copy(_made(), folder))


@cache
def _made() -> Path:
    """The depot, made once a test process."""
    folder = Path(tempfile.mkdtemp(prefix="labels_"))
    path = folder / "labels.depot"
    with Depot.create(path) as depot:
        job = Import(depot, the_operator(depot))
        for kind, text in FILES.items():
            (folder / f"{kind}.csv").write_text(text)
            import_file(job, kind, folder / f"{kind}.csv")
    return path

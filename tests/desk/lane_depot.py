"""A small depot: a 74 mm and a coupled machine, spacers and coils of both hands, drinks in lots."""
# ruff: noqa: E501 - rows of CSV

from __future__ import annotations

import shutil
import tempfile
from functools import cache
from pathlib import Path

from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import file_name, import_file
from partsbin.resources import shipped

FILES = {
    "places": """place,kind,name
A-01-01-1,bin,
A-01-02-1,bin,
B-01-01-1,bin,
B-01-02-1,bin,
VAN1,van,Ann
VAN2,van,Bo
""",
    "items": """part_number,description,kind,pack_size,family,hand,fits,disposition,container,tracking,home_bin,cautions,weight_g
SP6-L,"Lane spacer 6 mm LH",spacer,1,DLV-SPC,LH,,reusable,,,A-01-01-1,,
SP6-R,"Lane spacer 6 mm RH",spacer,1,DLV-SPC,RH,,reusable,,,A-01-01-1,,
SP10-L,"Lane spacer 10 mm LH",spacer,1,DLV-SPC,LH,,reusable,,,A-01-01-1,,
SP10-R,"Lane spacer 10 mm RH",spacer,1,DLV-SPC,RH,,reusable,,,A-01-01-1,,
SP15-L,"Lane spacer 15 mm LH",spacer,1,DLV-SPC,LH,,reusable,,,A-01-01-1,,
SP15-R,"Lane spacer 15 mm RH",spacer,1,DLV-SPC,RH,,reusable,,,A-01-01-1,,
COIL70-L,"Helical coil 8 count LH, 70 mm pitch",part,1,DLV-COIL,LH,,reusable,,,A-01-02-1,SPRING,
COIL70-R,"Helical coil 8 count RH, 70 mm pitch",part,1,DLV-COIL,RH,,reusable,,,A-01-02-1,SPRING,
COIL80-L,"Helical coil 7 count LH, 80 mm pitch",part,1,DLV-COIL,LH,,reusable,,,A-01-02-1,SPRING,
COIL80-R,"Helical coil 7 count RH, 80 mm pitch",part,1,DLV-COIL,RH,,reusable,,,A-01-02-1,SPRING,
CLIP-C-L,Retainer clip can LH,part,1,DLV-CLIP,LH,,reusable,,,A-01-02-1,,
CLIP-C-R,Retainer clip can RH,part,1,DLV-CLIP,RH,,reusable,,,A-01-02-1,,
CLIP-B-L,Retainer clip bottle LH,part,1,DLV-CLIP,LH,,reusable,,,A-01-02-1,,
CLIP-B-R,Retainer clip bottle RH,part,1,DLV-CLIP,RH,,reusable,,,A-01-02-1,,
COLA,"Cola 355 ml can, case of 24",product case,24,DRK-CASE,,,consumable,CAN355,lot,B-01-01-1,,382
SLIM,"Energy 250 ml slim can, case of 24",product case,24,DRK-CASE,,,consumable,SLM250,lot,B-01-02-1,,273
WATER,"Water 500 ml bottle, case of 24",product case,24,DRK-CASE,,,consumable,PET500W,lot,B-01-02-1,,512
BIG,"Cola 591 ml bottle, case of 24",product case,24,DRK-CASE,,,consumable,PET591,lot,B-01-02-1,,641
""",
    "lane-types": """lane_type,family,width_mm,depth_mm,shelf_pitch_mm,front_gap_mm,coil_pitch_mm,turns,spacer_side,max_per_side,coupled
T74,Teal,74,560,200,180,70,8,L,2,
T80,Teal,80,560,300,270,80,7,L,2,
U80,Umber,80,720,290,262,80,9,L,2,yes
""",
    "machines": """asset,family,site,serial,round,stop,van
M1,Teal,Mill Street canteen,T-100,East,2,VAN1
M2,Umber,Baths,U-200,East,1,VAN1
M3,Teal,Lodge,T-300,,0,
""",
    "lanes": """asset,lane,selection,shelf,position,lane_type,part_number,container,capacity,count,fitted,changed_on
M1,10,,1,1,T74,COLA,CAN355,7,7,CLIP-C-L*1,2026-03-01
M1,11,,1,2,T74,COLA,CAN355,7,7,CLIP-C-L*1,2026-03-01
M1,12,,1,3,T74,SLIM,SLM250,7,7,SP15-L*1|CLIP-C-L*1,
M1,20,,2,1,T80,WATER,PET500W,6,6,SP10-L*1|CLIP-B-L*1,
M1,21,,2,2,T80,,,0,,,
M2,1A,1,1,1,U80,COLA,CAN355,8,8,CLIP-C-L*1|SP6-L*1,
M2,1B,1,1,2,U80,COLA,CAN355,8,8,CLIP-C-R*1|SP6-R*1,
""",
    "stock": """part_number,place,lot,best_before,quantity
SP6-L,A-01-01-1,,,6
SP6-R,A-01-01-1,,,6
SP10-L,A-01-01-1,,,6
SP10-R,A-01-01-1,,,6
SP15-L,A-01-01-1,,,6
SP15-R,A-01-01-1,,,6
COIL70-L,A-01-02-1,,,4
COIL70-R,A-01-02-1,,,4
COIL80-L,A-01-02-1,,,4
COIL80-R,A-01-02-1,,,4
CLIP-C-L,A-01-02-1,,,4
CLIP-C-R,A-01-02-1,,,4
CLIP-B-L,A-01-02-1,,,4
CLIP-B-R,A-01-02-1,,,4
COLA,B-01-01-1,C1,2099-01-10,48
COLA,B-01-01-1,C2,2099-02-10,48
WATER,B-01-02-1,W1,2099-03-10,24
""",
}


def build(folder: Path) -> Path:
    """Put the depot into ``folder``; returns its path. It is made once and copied."""
    return Path(shutil.copy(_made(), folder / "lanes.depot"))


@cache
def _made() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="lanes"))
    path = folder / "lanes.depot"
    with Depot.create(path) as depot:
        job = Import(depot, the_operator(depot))
        for kind in ("cautions", "checks", "containers", "case-forms", "event-hints"):
            import_file(job, kind, shipped("seed") / file_name(kind))
        for kind, text in FILES.items():
            file = folder / f"{kind}.csv"
            file.write_text(text, encoding="utf-8")
            import_file(job, kind, file)
        depot.run("PRAGMA journal_mode = DELETE")  # one file, so that it can be copied whole
    return path

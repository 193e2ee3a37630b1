"""Invented depots in foreign styles, and requests against them with their right answers.

Four catalogues share nothing with the demo depot but the trade: other part numbers, other word order, terse or wordy
descriptions, no families, few aliases. ``terse``, ``wordy`` and ``stubby`` are for tuning; ``ledger`` is only ever measured.
"""

from __future__ import annotations

import itertools
import random
from dataclasses import dataclass, replace

from partsbin.requests import CatalogueItem

HAND = {"hand": ["LH", "RH"]}
# name, terse name, other words said for it, how dictation spells it, attributes, machine-bound
FAMILIES: list[tuple[str, str, list[str], list[str], dict[str, list], bool]] = [
    ("vend motor", "MOTOR VEND", ["helix motor", "gear motor", "lane motor", "spiral motor", "gearbox motor"], ["bend motor", "vend moter"], {"volts": [24, 115], **HAND}, True),
    ("coil", "COIL", ["spiral", "helix", "auger"], ["coyle", "koil"], {"count": [5, 7, 8, 9, 10, 12], **HAND}, True),
    ("coil end piece", "END PC COIL", ["pusher tab", "ejector", "kicker"], ["coyle end peace"], {"tab": ["short", "long"]}, True),
    ("coil coupler", "COUPLER COIL", ["drive hub", "coil chuck", "motor coupling"], ["coyle cuppler"], {"mm": [6, 8]}, True),
    ("tray grommet", "GROMMET TRAY", ["tray bushing", "tray sleeve"], ["tray gromit"], {"mm": [8, 10, 12]}, False),
    ("lane spacer", "SPCR LANE", ["shim", "filler", "side rail"], ["lane spaser"], {"mm": [3, 6, 10, 15], **HAND}, False),
    ("retainer clip", "CLIP RETAINER", ["product stop", "anti-tip clip", "front keeper"], ["retainer klip"], {"form": ["can", "bottle"], **HAND}, False),
    ("retainer bar", "BAR RETAINER FRT", ["anti tip bar", "hoop", "tip bar"], ["retainer barr"], {"mm": [74, 92]}, False),
    ("drop sensor", "SENSOR DROP", ["vend sensor", "beam", "drop detector"], ["drop sencer"], {"bar": ["optical", "piezo"]}, True),
    ("motor home switch", "SWITCH HOME MOTOR", ["cam switch"], ["motor home swich"], {"contact": ["NO", "NC"]}, False),
    ("delivery flap", "FLAP DELIVERY", ["trap door", "hopper door", "bin door"], ["delivery flab"], {}, True),
    ("tray harness", "HARN TRAY", ["tray loom", "tray cable"], ["tray harnest"], {"lane_count": [6, 8, 10]}, False),
    ("LED strip", "LED STRIP", ["light bar", "lamp"], ["led stripp"], {"mm": [450, 600, 900], "volts": [12, 24]}, False),
    ("LED driver", "DRIVER LED", ["ballast", "led psu"], ["led dryver"], {"volts": [115, 230], "amps": [2, 4]}, False),
    ("selection keypad", "KEYPAD SELECTION", ["touchpad", "membrane"], ["selection key pad"], {}, True),
    ("display module", "DISPLAY MODULE", ["readout", "lcd"], ["dissplay module"], {"revision": ["A", "B"]}, True),
    ("door handle", "HANDLE DOOR", ["T-handle", "latch handle"], ["door handel"], {**HAND}, True),
    ("door glass", "GLASS DOOR", ["window panel", "window"], ["door class"], {"heated": ["no", "yes"]}, True),
    ("note acceptor", "ACCEPTOR NOTE", ["bill validator", "bill acceptor", "note reader"], ["note exceptor", "bill valadator"], {"stack": ["up", "down"]}, False),
    ("note acceptor belt kit", "BELT KIT NOTE ACCEPTOR", ["validator belts", "note reader roller kit"], ["note exceptor built kit"], {}, False),
    ("cleaning card", "CARD CLEANING NOTE", ["clean card"], ["kleening card"], {}, False),
    ("coin mechanism", "COIN MECH", ["changer", "coin mech", "coin changer"], ["coin mac", "coin mack"], {"tubes": [3, 5, 6]}, False),
    ("coin tube cassette", "CASSETTE COIN TUBE", ["coin cassette", "tube cassette"], ["coin tube casset"], {"tubes": [3, 5]}, False),
    ("card reader", "READER CARD", ["cashless reader", "tap reader", "swiper"], ["card reeder"], {}, False),
    ("payment bus harness", "HARN PAYMENT BUS", ["payment loom", "bus cable"], ["payment bus harnes"], {"mm": [600, 1000, 1800]}, False),
    ("cash box", "BOX CASH", ["coin box", "money box"], ["cash bocks"], {}, True),
    ("main control board", "BOARD MAIN CONTROL", ["main board", "vmc", "motherboard", "controller"], ["main bored", "main control bord"], {"revision": ["A", "C"]}, True),
    ("motor driver board", "BOARD MOTOR DRIVER", ["relay board", "driver board"], ["motor driver bored"], {}, True),
    ("display board", "BOARD DISPLAY", ["door board"], ["display bored"], {}, True),
    ("power relay", "RELAY POWER", ["ice cube relay", "contactor"], ["power really"], {"volts": [24, 115, 230]}, False),
    ("power supply", "POWER SUPPLY", ["psu"], ["power suply"], {"watts": [60, 100, 150]}, False),
    ("transformer", "XFMR", ["trafo"], ["transformor"], {"va": [75, 150]}, False),
    ("fuse", "FUSE", ["cartridge fuse"], ["fews"], {"amps": [1, 3.15, 5, 10], "blow": ["slow", "fast"]}, False),
    ("lithium coin cell", "CELL LITHIUM", ["button cell", "clock battery"], ["lithium coin sell"], {"cell": ["CR2032", "CR2450"]}, False),
    ("telemetry unit", "TELEMETRY UNIT", ["modem", "telemeter"], ["telemetery unit"], {}, False),
    ("antenna", "ANTENNA", ["aerial"], ["antena"], {"mm": [1000, 3000]}, False),
    ("door switch", "SWITCH DOOR", ["interlock", "door interlock switch"], ["door swich"], {"contact": ["NO", "NC"]}, False),
    ("refrigeration deck", "DECK REFRIG", ["cooling unit", "fridge deck"], ["refridgeration deck"], {"refrigerant": ["R290", "R134A"]}, True),
    ("compressor", "COMPRESSOR", ["comp"], ["compresser"], {"hp": ["1/4", "1/3"]}, False),
    ("start kit", "START KIT COMPRESSOR", ["start relay overload", "ptc kit"], ["start kit compresser"], {"hp": ["1/4", "1/3"]}, False),
    ("condenser fan motor", "FAN MTR COND", ["bottom fan motor", "condenser fan"], ["condensor fan motor"], {"watts": [9, 16], "volts": [115, 230], "rotation": ["CW", "CCW"]}, False),
    ("evaporator fan motor", "FAN MTR EVAP", ["inside fan motor", "evap fan"], ["evaporater fan motor"], {"watts": [9, 16], "volts": [115, 230], "rotation": ["CW", "CCW"]}, False),
    ("fan blade", "BLADE FAN", ["impeller"], ["fan blayde"], {"mm": [172, 200, 230], "rotation": ["CW", "CCW"]}, False),
    ("temperature probe", "PROBE TEMP", ["thermistor", "temp sensor"], ["temperature prob"], {"ohms": [5000, 10000]}, False),
    ("thermostat", "T-STAT", ["cold control"], ["thermastat"], {}, True),
    ("defrost heater", "HEATER DEFROST", ["defrost element"], ["defrost heeter"], {"watts": [35, 80]}, False),
    ("condenser filter", "FILTER COND", ["air filter", "lint screen"], ["condensor filter"], {}, True),
    ("drain hose", "HOSE DRAIN", ["drain tube"], ["drane hose"], {}, False),
    ("leg leveller", "LEG LVLR", ["levelling foot", "leveler leg"], ["leg leveler"], {"thread": ["M12", "M16"], "mm": [50, 75]}, False),
    ("door gasket", "GSKT DOOR", ["door seal", "weather strip", "door rubber"], ["door gas kit", "door gascket"], {}, True),
    ("door hinge", "HINGE DOOR", ["hinge set"], ["door hindge"], {"position": ["top", "bottom"], **HAND}, True),
    ("power cord", "CORD POWER", ["mains lead", "mains cable"], ["power chord"], {"mm": [2000, 3000]}, False),
    ("in-line leakage plug", "PLUG GFCI", ["rcd plug", "gfci"], ["leekage plug"], {"volts": [115, 230]}, False),
    ("kick plate", "PLATE KICK", ["kick panel", "lower grille"], ["kick plait"], {}, True),
    ("anti-tip bracket kit", "BRKT KIT ANTI-TIP", ["wall bracket"], ["anti tip brakit"], {}, False),
    ("push rivet", "RIVET PUSH", ["push pin", "tree clip"], ["push rivit"], {"mm": [5, 6.5, 8]}, False),
    ("cable tie", "TIE CABLE", ["zip tie", "tie wrap"], ["cable tye"], {"mm": [100, 200, 300]}, False),
    ("crimp terminal", "TERMINAL CRIMP", ["spade terminal"], ["crimp turminal"], {"mm": [4.8, 6.3], "gender": ["male", "female"]}, False),
    ("screw", "SCREW", ["machine screw"], ["skrew"], {"thread": ["M3", "M4", "M5"], "mm": [8, 10, 16]}, False),
    ("lane conversion kit", "KIT LANE CONV", ["spacer kit", "conversion kit"], ["lane conversion kitt"], {"ml": [250, 330, 591]}, True),
    ("coupled lane kit", "KIT COUPLED LANE", ["dual kit", "pair kit"], ["cuppled lane kit"], {}, True),
    ("maintenance kit", "PM KIT", ["service kit", "preventive maintenance kit"], ["maintenence kit"], {}, True),
    ("cola 355 ml can case of 24", "COLA 355ML CAN 24", ["cans of cola"], ["kola cans 355 ml"], {}, False),
    ("lemonade 500 ml bottle case of 24", "LEMONADE 500ML PET 24", ["bottles of lemonade"], ["lemonaid 500 ml bottle"], {}, False),
]  # fmt: skip
NOT_STOCKED = (
    "coffee brewer gasket", "grinder burrs", "snack tray 10 select", "hot water boiler element", "syrup pump", "cup dispenser motor", "ice maker auger",
    "co2 regulator", "microwave fuse holder", "elevator belt", "touch screen for kiosk", "bag in box connector", "water inlet valve", "wheel castor 50 mm",
    "lift motor drive pinion", "milk hose", "whipper motor 24v", "credit card terminal roll paper", "spare tyre", "laptop charger", "printer toner",
    "fan guard 172mm", "fuse holder panel mount", "xy carriage belt", "sandwich carousel spring", "torch batteries", "silicone sealant tube", "wrist strap esd",
    "speaker for the door", "security camera bracket", "sugar canister", "paper cup ring", "conveyor roller", "pastry coil 4 count", "gum pusher", "fan speed controller",
    "filter water cartridge", "popcorn kettle", "air conditioner remote", "robot arm gripper", "ketchup sachets", "cigarette column motor", "drill bit set 6mm",
    "capacitor 35uf run", "solenoid valve 24v", "hydraulic jack", "copper pipe 6mm", "refrigerant recovery bottle", "solar panel", "router 4g wifi",
)  # fmt: skip
OFF_VALUES = {
    "volts": 48,
    "mm": 47,
    "count": 19,
    "amps": 13,
    "watts": 44,
    "tubes": 9,
    "lane_count": 17,
    "thread": "M20",
    "cell": "CR1620",
    "ohms": 33000,
    "va": 500,
    "ml": 700,
    "revision": "Q",
}


@dataclass(frozen=True)
class Style:
    name: str
    number: str
    machines: tuple[str, ...]
    terse: bool
    inches: bool
    seed: int
    inverted: bool = False


STYLES = (
    Style(
        "terse",
        "{l2}{n4}{l1}",
        ("Frostline 500", "Frostline 700", "CV-24", "Polaris"),
        terse=True,
        inches=False,
        seed=11,
    ),
    Style(
        "wordy",
        "{n2}.{n3}.{n3}",
        ("Kestrel 8", "Kestrel 12", "Merlin Duo", "Osprey X2"),
        terse=False,
        inches=False,
        seed=12,
    ),
    Style(
        "stubby", "P{n5}-{n2}", ("Tundra T4", "Tundra T6", "Icefall 300", "BX1100"), terse=True, inches=True, seed=13
    ),
    Style(
        "ledger",
        "{n3}/{l2}{n2}.{n2}",
        ("Vela 21", "Vela 36", "Corrin V8", "LX-220"),
        terse=False,
        inches=False,
        seed=14,
        inverted=True,
    ),
)


def _number(style: Style, rng: random.Random) -> str:
    def digits(n: int) -> str:
        return "".join(rng.choice("0123456789") for _ in range(n))

    out = style.number
    for mark, make in (
        ("l2", lambda: rng.choice("ABCDEFGHKMNPRTVWX") + rng.choice("ABCDEFGHKMNPRTVWX")),
        ("l1", lambda: rng.choice("ABCDEFGH")),
    ):
        out = out.replace("{" + mark + "}", make())
    while "{n" in out:
        at = out.index("{n")
        out = out[:at] + digits(int(out[at + 2])) + out[at + 4 :]
    return out


def _inch(mm: float) -> str:
    table = {3: "1/8", 6: "1/4", 10: "3/8", 8: "5/16", 12: "1/2", 50: "2", 75: "3"}
    return table.get(mm, f"{mm / 25.4:.2f}".rstrip("0").rstrip("."))


def state(kind: str, value, how: str, rng: random.Random | None = None) -> str:
    """One attribute as a catalogue (``terse``, ``plain``, ``inch``) or a caller (``said``) puts it."""
    if how == "said":
        assert rng is not None
        return rng.choice(_said(kind, value))
    if kind == "mm":
        if value >= 1000:
            return f"{value / 1000:g}M" if how != "plain" else f"{value / 1000:g} m"
        if how == "inch" and value in (3, 6, 10, 50, 75):
            return _inch(value) + "IN"
        return f"{value}MM" if how != "plain" else f"{value} mm"
    forms = {
        "volts": (f"{value}VDC" if value in (12, 24) else f"{value}VAC", f"{value} V"), "count": (f"{value}CT", f"{value} count"), "amps": (f"{value}A", f"{value} A"),
        "watts": (f"{value}W", f"{value} W"), "va": (f"{value}VA", f"{value} VA"), "hp": (f"{value}HP", f"{value} hp"), "tubes": (f"{value} TUBE", f"{value} tube"),
        "lane_count": (f"{value} LANE", f"{value} lane"), "revision": (f"REV {value}", f"rev {value}"), "contact": ("N/O" if value == "NO" else "N/C", "normally open" if value == "NO" else "normally closed"),
        "hand": (value, "left" if value == "LH" else "right"), "heated": ("HTD" if value == "yes" else "", "heated" if value == "yes" else ""),
        "ohms": (f"{value // 1000}K", f"{value // 1000}k ohm") if kind == "ohms" else ("", ""), "ml": (f"{value}ML", f"for {value} ml"), "rotation": (value, "clockwise" if value == "CW" else "anticlockwise"),
        "stack": (f"{value}-STACK".upper(), f"{value} stack"), "tab": (f"{value} TAB".upper(), f"{value} tab"),
    }  # fmt: skip
    terse, plain = forms.get(kind, (str(value).upper(), str(value)))
    return plain if how == "plain" else terse


def _said(kind: str, value) -> list[str]:
    if kind == "mm":
        if value >= 1000:
            return [f"{value / 1000:g} m", f"{value / 1000:g}m", f"{value / 1000:g} metre", f"{value} mm"]
        return [f"{value}mm", f"{value} mm", f"{value} mil"] + (
            [_inch(value) + " inch", _inch(value) + '"'] if value in (3, 6) else []
        )
    return {
        "volts": [f"{value}v", f"{value} volt", f"{value} V", f"{value} volts"], "count": [f"{value} count", f"{value}ct", f"{value} ct", f"{value} turn"], "amps": [f"{value}A", f"{value} amp", f"{value}a"],
        "watts": [f"{value}w", f"{value} watt"], "va": [f"{value}va", f"{value} VA"], "hp": [f"{value} hp", f"{value}hp"], "tubes": [f"{value} tube", f"{value}-tube"], "lane_count": [f"{value} lane", f"{value}-lane"],
        "revision": [f"rev {value}", f"revision {value}", f"rev.{value}"], "contact": ["n/o", "normally open"] if value == "NO" else ["n/c", "normally closed"],
        "hand": ["left", "lh", "left hand", "LH"] if value == "LH" else ["right", "rh", "right hand", "RH"], "heated": ["heated"] if value == "yes" else ["not heated", "unheated"],
        "ohms": [f"{int(value) // 1000}k"] if kind == "ohms" else [], "ml": [f"{value} ml", f"{value}ml"] + (["20 oz"] if value == 591 else []), "rotation": ["clockwise", "cw"] if value == "CW" else ["anticlockwise", "ccw", "counter clockwise"],
        "stack": [f"{value} stack", f"{value}-stack"], "tab": [f"{value} tab", f"{value}"], "thread": [str(value), str(value).lower()], "cell": [str(value), str(value).lower()], "refrigerant": [str(value), "r-" + str(value)[1:].lower()],
    }.get(kind, [str(value)])  # fmt: skip


@dataclass(frozen=True)
class Made:
    """An item with the facts it was made from."""

    item: CatalogueItem
    family: int
    facts: tuple[tuple[str, object], ...]
    machine: str


def catalogue(style: Style) -> list[Made]:
    rng = random.Random(style.seed)
    made: list[Made] = []
    used: set[str] = set()
    for place, (plain, terse, _, _, attributes, bound) in enumerate(FAMILIES):
        machines = rng.sample(style.machines, 3) if bound else [""]
        for machine in machines:
            for values in itertools.product(*attributes.values()):
                facts = tuple(zip(attributes, values, strict=True))
                if "mm" in attributes and "volts" in attributes and rng.random() < 0.2:
                    continue
                number = _number(style, rng)
                while number in used:
                    number = _number(style, rng)
                used.add(number)
                how = "inch" if style.inches else "terse" if style.terse else "plain"
                parts = [text for kind, value in facts if (text := state(kind, value, how))]
                if style.name == "stubby":
                    rng.shuffle(parts)
                name = terse if style.terse else plain[0].upper() + plain[1:]
                if style.inverted and " case of" not in plain:
                    *front, noun = plain.split()
                    name = ", ".join([noun.capitalize(), *([" ".join(front)] if front else [])])
                text = " ".join([name, *parts]) if style.terse else ", ".join([name, *parts])
                item = CatalogueItem(
                    len(made) + 1, number, text, fits=(machine,) if machine else (), supplier_numbers=(f"{rng.choice('QZY')}{rng.randint(10**6, 10**7 - 1)}",),
                    gtins=(f"{rng.randint(10**11, 10**12 - 1)}",) if rng.random() < 0.3 else (),
                )  # fmt: skip
                made.append(Made(item, place, facts, machine))
    _supersede(made, style, rng)
    return made


def _supersede(made: list[Made], style: Style, rng: random.Random) -> None:
    """Old numbers, some in chains of two, that lead to a live item."""
    for target in rng.sample(list(made), 25):
        follower = target.item.item_id
        for _ in range(rng.choice((1, 1, 2))):
            old = replace(
                target.item,
                item_id=len(made) + 1,
                part_number=_number(style, rng),
                superseded_by=follower,
                supplier_numbers=(),
                gtins=(),
                description=target.item.description + " OLD TYPE",
            )
            made.append(replace(target, item=old))
            follower = old.item_id


@dataclass(frozen=True)
class Asked:
    """A request line with the kind of difficulty and the part number wanted ('' when the depot has none)."""

    text: str
    kind: str
    wanted: str
    quantity: int | None


_COUNTS = [
    ("{} x2", 2),
    ("2x {}", 2),
    ("need {}", 1),
    ("{}", 1),
    ("{} pls", 1),
    ("can you send 3 {}", 3),
    ("qty 4 {}", 4),
    ("{} - 2 off", 2),
    ("a {}", 1),
    ("five {}", 5),
    ("{}, 6 off", 6),
    ("please send me a {} for tomorrow", 1),
    ("{} (2)", 2),
]
_ABBREVIATED = {"motor": "mtr", "board": "brd", "harness": "hrns", "spacer": "spcr", "clip": "clp", "gasket": "gskt", "handle": "hndl", "sensor": "snsr", "transformer": "xfmr", "display": "disp", "condenser": "cond", "evaporator": "evap", "compressor": "comp", "thermostat": "t-stat", "leveller": "lvlr", "switch": "sw", "acceptor": "accptr", "retainer": "ret", "temperature": "temp", "refrigeration": "refrig", "telemetry": "tele", "antenna": "ant", "coupler": "cplr", "heater": "htr", "filter": "fltr", "bracket": "brkt", "assembly": "assy", "battery": "batt", "mechanism": "mech", "validator": "val", "relay": "rly", "terminal": "term", "screw": "scr", "maintenance": "maint", "conversion": "conv"}  # fmt: skip
_MISREAD = {"0": "O", "O": "0", "1": "I", "5": "S", "8": "B", "B": "8", "S": "5", "I": "1"}


def _typo(text: str, rng: random.Random) -> str:
    words = text.split()
    long = [i for i, word in enumerate(words) if len(word) >= 5 and word.isalpha()]
    if not long:
        return text
    place = rng.choice(long)
    word, at = words[place], rng.randint(1, len(words[place]) - 2)
    words[place] = rng.choice(
        [
            word[:at] + word[at + 1 :],
            word[:at] + word[at + 1] + word[at] + word[at + 2 :],
            word[:at] + word[at] + word[at:],
            word[:at] + rng.choice("aeiou") + word[at + 1 :],
        ]
    )
    return " ".join(words)


def requests(style: Style, made: list[Made], per_kind: int = 60) -> list[Asked]:
    """Request lines of ten kinds against a made-up catalogue."""
    rng = random.Random(style.seed * 7 + 1)
    live = [one for one in made if one.item.superseded_by is None]
    old = [one for one in made if one.item.superseded_by is not None]
    by_id = {one.item.item_id: one for one in made}
    numbers = {one.item.part_number for one in made}
    found: list[Asked] = []

    def put(text: str, kind: str, wanted: str) -> None:
        frame, count = rng.choice(_COUNTS)
        found.append(Asked(frame.format(text), kind, wanted, count))

    def full(one: Made, name: str, *, shuffled: bool = False) -> str:
        facts = [text for kind, value in one.facts if (text := state(kind, value, "said", rng))]
        rng.shuffle(facts)
        machine = [f"for {rng.choice(['the ', ''])}{one.machine}"] if one.machine else []
        if shuffled:
            words = name.split()
            rng.shuffle(words)
            parts = [*facts, " ".join(words)] if rng.random() < 0.5 else [*facts[:1], " ".join(words), *facts[1:]]
            return " ".join(parts + machine)
        cut = rng.randint(0, len(facts))
        return " ".join([*facts[:cut], name, *facts[cut:], *machine])

    for _ in range(per_kind):
        one = rng.choice(live)
        number = one.item.part_number
        noisy = rng.choice(
            [
                number.lower(),
                number.replace("-", " "),
                number.replace(".", ""),
                number.replace("-", ""),
                number.replace(".", "-"),
                f"p/n {number}",
                "".join(_MISREAD.get(c, c) if i == _spot(number, rng) else c for i, c in enumerate(number)),
            ]
        )
        put(noisy, "number", number if number in numbers else "")
        one = rng.choice(live)
        put(_typo(full(one, FAMILIES[one.family][0]), rng), "typo", one.item.part_number)
        one = rng.choice(live)
        put(
            " ".join(_ABBREVIATED.get(word, word) for word in full(one, FAMILIES[one.family][0].lower()).split()),
            "abbreviation",
            one.item.part_number,
        )
        one = rng.choice(live)
        put(full(one, FAMILIES[one.family][0], shuffled=True), "order", one.item.part_number)
        one = rng.choice(live)
        put(full(one, rng.choice(FAMILIES[one.family][2])), "synonym", one.item.part_number)
        one = rng.choice(live)
        put(full(one, rng.choice(FAMILIES[one.family][3])), "homophone", one.item.part_number)
        one = rng.choice([x for x in live if x.machine])
        put(
            f"on the {one.machine.lower()}: " + full(replace(one, machine=""), FAMILIES[one.family][0]),
            "machine",
            one.item.part_number,
        )
        one = rng.choice([x for x in live if len(x.facts) >= 2])
        put(full(one, FAMILIES[one.family][0]), "attribute", one.item.part_number)
        gone = rng.choice(old)
        goal = gone
        while goal.item.superseded_by is not None:
            goal = by_id[goal.item.superseded_by]
        put(
            rng.choice([gone.item.part_number, gone.item.part_number.lower(), f"old number {gone.item.part_number}"]),
            "superseded",
            goal.item.part_number,
        )
        if rng.random() < 0.6:
            put(rng.choice(NOT_STOCKED), "none", "")
        else:
            one = rng.choice([x for x in live if any(kind in OFF_VALUES for kind, _ in x.facts)])
            kind = next(kind for kind, _ in one.facts if kind in OFF_VALUES)
            put(
                full(
                    replace(one, facts=tuple((k, OFF_VALUES[k] if k == kind else v) for k, v in one.facts)),
                    FAMILIES[one.family][0],
                ),
                "none",
                "",
            )
    return found


def _spot(number: str, rng: random.Random) -> int:
    spots = [i for i, sign in enumerate(number) if sign in _MISREAD]
    return rng.choice(spots) if spots else -1

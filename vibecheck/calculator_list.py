"""The one list of calculators: name, title, and what each is for.

A calculator's module is `vibecheck.calculators.NAME`, its page `vibecheck.report.calculators.NAME`.
The rules may name these and no others; nothing is loaded here.
"""

from __future__ import annotations

LISTED = (
    ("runout", "Runout from high and low",
     "Work out a runout from readings, and judge it against a limit"),
    ("stack", "Which part runs out",
     "Tell tire, wheel and hub apart by turning them against each other"),
    ("fit", "Bore, pilot and offset",
     "Say how a wheel sits on the hub, and how far another offset or a spacer moves it"),
    ("force", "Force from runout",
     "Say how much force a radial runout makes, by stiffness, and the loaded radius"),
    ("hubface", "Wheel less hub",
     "Take the hub off lateral readings of a wheel, read at the same places"),
    ("match", "Best turn",
     "Find the best turn of tire on wheel or wheel on hub, and what it brings"),
    ("balance", "Balance",
     "Part and place balance weights, static and couple, from the grams of two planes"),
    ("moveweight", "Move a balance weight",
     "Say which weight does the same at another radius or in other planes"),
    ("trialweight", "Trial weight on the car",
     "Find the weight that tire, wheel, hub and disc want together, by trial weights"),
    ("rotor", "Brake rotor thickness",
     "Judge a rotor by its thickness round the turn: variation, wear, pulse in a stop"),
    ("driveshaft", "Driveshaft angles",
     "Work out joint angles of a driveshaft, what they leave uncancelled and the shim for it"),
    ("orders", "Orders at a speed",
     "Say which part shakes at which frequency, and which parts fit a measured one"),
    ("engine", "Engine and motor",
     "Say what engine, accessories and motor shake at, and name a measured frequency"),
    ("beat", "Two tires unlike",
     "Say how a shake of two unlike tires swells, and how unlike they are from that"),
    ("bearing", "Bearing frequencies",
     "Say how often a flaw on each part of a bearing strikes, from its geometry"),
    ("record", "Record from a phone",
     "Read a phone's accelerometer record: which order shakes, where to and how strongly"),
)
NAMES = tuple(name for name, _, _ in LISTED)

// How supply, grounds and the wires of sensors fail in the circuit: what answers it, and which test of the circuit computes it.
import { PUMP_AND_CLAMP_FAULTS } from "./fault-parts-pump.ts";
import { circuitFault as f, type PartFault } from "./part-fault.ts";

const SUPPLY = "tests/hardware-notes/supply.test.ts";
const FAULTS = "tests/hardware-notes/circuit-faults.test.ts";
const CLAMPS = "tests/hardware-notes/clamp-rail.test.ts";

const SUPPLIES: readonly PartFault[] = [
  f(
    "battery",
    "reversed",
    "",
    "D11 keeps the polarity relay K2 open: no current reaches the arm switch, the relay or a coil",
    "none",
    FAULTS,
  ),
  f(
    "polarity relay K2",
    "contact open, or its diode D11 open",
    "",
    "no supply at all: everything off",
    "none",
  ),
  f(
    "polarity relay K2",
    "contact welded",
    "",
    "the key no longer switches the box off; arm switch, drivers and master relay still do",
    "at each service check that nothing has supply with the key off",
  ),
  f(
    "battery",
    "jump start from 24 V",
    "",
    "every part withstands it for the minute that it lasts, and the relay still releases in time",
    "keep the arm switch off",
    SUPPLY,
  ),
  f(
    "battery",
    "cranks down to 6 V",
    "BATT-LOW",
    "the 5 V still hold; below that the chip resets and does not arm until it has seen the arm switch off",
    "none",
    SUPPLY,
  ),
  f(
    "supply wire of a sensor",
    "short to 12 V",
    "SENSOR",
    "U4 blocks: the chips' 5 V stay, all readings leave their ranges: trip",
    "a U4 that withstands it; what the sensors withstand, their makers say",
    "tests/hardware-notes/circuit-faults.test.ts",
  ),
  f(
    "Q2 of the charge pump",
    "R10 at its source open",
    "",
    "each opening of the relay lifts the source of Q2, at a high supply over the rating of Q1, which may short: lockout at the next arming",
    "nothing sees R10 itself: measure it at each service",
    "tests/hardware-notes/extremes.test.ts",
  ),
  f(
    "alternator",
    "load dump without a limiter",
    "",
    "D13 holds the supply to what every part withstands, is destroyed by the heat, and the main fuse blows",
    "tight battery terminals; look at D13 and F1 after a loose one",
    SUPPLY,
  ),
  f(
    "key",
    "switched off while flowing",
    "",
    "K2 opens, the coils lose their supply, the 5 V decay and the pins fall to their pull-downs",
    "what had not reached flash is missing from the run log",
  ),
  f(
    "USB socket",
    "a notebook supplies the board, the box has no supply",
    "",
    "D15 keeps the rest of the box dead: the buffers drive nothing and the relay has no supply",
    "a notebook on a charger ties the car's ground to the mains: the socket is for the bench",
  ),
  f(
    "5 V supply",
    "missing",
    "",
    "gate buffers drive nothing, the second pull-downs hold the gates low, sensors read 0 V",
    "none: nothing can open",
  ),
  f(
    "5 V supply",
    "battery voltage on it: its converter U2 shorted",
    "",
    "the chips are destroyed; the coupling capacitors of the pump pass no direct current, so the relay opens whatever the drivers do",
    "replace every chip, and go through all steps of the first power-up again",
  ),
  f(
    "supply of the sensors",
    "short to ground",
    "SENSOR",
    "U4 limits the current, so the 5 V hold; every sensor reads near 0 V: trip",
    "none",
    SUPPLY,
  ),
  f(
    "3.3 V supply",
    "brown-out",
    "",
    "the chip resets, its pins are not driven, pull-downs hold; afterwards the controller must see the arm switch off before it arms",
    "an emulator cannot show the slopes of a brown-out: try it with a bench supply",
  ),
];

const GROUNDS: readonly PartFault[] = [
  f(
    "ground",
    "one link between logic plane and star open",
    "",
    "the other link carries the current: 3 mV",
    "nothing sees it: measure each link at every service",
    SUPPLY,
  ),
  f(
    "ground",
    "both links between logic plane and star open",
    "",
    "D16 carries the current; the plane rises by 0.6 V, which is below the threshold of every gate",
    "nothing sees it: measure each link at every service",
    SUPPLY,
  ),
  f(
    "ground",
    "one wire from the star to the battery open",
    "",
    "the other carries the whole current",
    "nothing sees it; with both open the current looks for other ways, through a notebook or a sensor: measure each at every service",
  ),
  f(
    "ground",
    "of the sensors lifted",
    "SENSOR",
    "readings rise together, out of their ranges when it is open",
    "a small lift is believed: sensor grounds run to the logic plane, as drawn",
  ),
];

const SENSOR_WIRES: readonly PartFault[] = [
  f(
    "ground of one sensor",
    "open",
    "SENSOR",
    "most sensors rise to their supply, outside the plausible range: trip",
    "a sensor that behaves otherwise is believed: pull each ground once and look at `headgate watch`",
  ),
  f(
    "wire of one sensor",
    "short to 12 V",
    "SENSOR",
    "it reads full: trip; the clamp rail sinks the current, so no other reading moves",
    "none",
    CLAMPS,
  ),
  f(
    "any sensor but the throttle's",
    "frozen at a plausible value",
    "",
    "believed",
    "compare each with a gauge, and check that it moves, in `headgate watch`",
  ),
  f(
    "clamp rail",
    "its regulator U5 open",
    "",
    "the diodes inside the chips take the currents of the clamps",
    "nothing sees it: measure the rail at each service",
  ),
  f(
    "clamp rail",
    "its regulator U5 shorted",
    "ARM BATT-LOW SENSOR",
    "every input reads near 0 V: arm switch off, battery low, sensors outside their ranges",
    "none",
  ),
];

/** All faults of the circuit. */
export const CIRCUIT_FAULTS: readonly PartFault[] = [
  ...PUMP_AND_CLAMP_FAULTS,
  ...SUPPLIES,
  ...GROUNDS,
  ...SENSOR_WIRES,
];

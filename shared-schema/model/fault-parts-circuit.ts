// How the circuit between battery, pump, clamps and grounds fails: what answers it, and which test of the circuit computes it.
import { type PartFault, partFault } from "./part-fault.ts";

const PUMP = "tests/hardware-notes/pump-faults.test.ts";
const RELEASE = "tests/hardware-notes/pump.test.ts";
const SUPPLY = "tests/hardware-notes/supply.test.ts";
const COILS = "tests/hardware-notes/coils.test.ts";
const BACKFEED = "tests/hardware-notes/backfeed.test.ts";
const CLAMPS = "tests/hardware-notes/clamp-rail.test.ts";

/** A fault that no pin of the emulated board can show; `circuit` is the test that computes or simulates it. */
function f(
  part: string,
  failure: string,
  rows: string,
  answer: string,
  left: string,
  circuit?: string,
): PartFault {
  return { ...partFault(part, failure, rows, answer, left), ...(circuit ? { circuit } : {}) };
}

const PUMP_FAULTS: readonly PartFault[] = [
  f(
    "charge pump",
    "C1 shorted",
    "RELAY KEEP-ALIVE",
    "a pin that is low holds the relay, so it closes with the arm switch: lockout at arming",
    "none",
    PUMP,
  ),
  f(
    "charge pump",
    "C2 shorted",
    "KEEP-ALIVE",
    "works on; a pin that is stuck high would hold the relay for ever, and only a test that stops the edges with the pin high sees it",
    "until it is seen a hang with the pin high leaves the drivers as the only way to off: pull the jumper J1 before each event",
    PUMP,
  ),
  f(
    "charge pump",
    "C1 or C2 open, D1 or D3 open or shorted, D2 or D4 open",
    "KEEP-ALIVE",
    "one phase is dead, the relay's coil never gets the current to close: lockout at arming",
    "none",
    PUMP,
  ),
  f(
    "charge pump",
    "C3 open, D2 or D4 shorted",
    "",
    "works on and releases in time; with D2 or D4 shorted a single missed tick opens the relay",
    "harmless, and nothing sees it",
    PUMP,
  ),
  f(
    "charge pump",
    "R3 open",
    "",
    "releases in 33 ms instead of 5 ms, which the test at arming accepts",
    "measure the time from the last edge to the open contact, as in the checklist",
    RELEASE,
  ),
  f(
    "charge pump",
    "R5 open",
    "KEEP-ALIVE",
    "the gate of Q2 keeps its charge and the relay does not open when the edges stop: lockout at arming",
    "until the next arming the arm switch and the drivers are the ways to off",
  ),
  f(
    "Q2 of the charge pump",
    "shorted",
    "RELAY KEEP-ALIVE",
    "the relay follows the arm switch alone: lockout at arming",
    "until the next arming the arm switch and the drivers are the ways to off",
  ),
];

const WIRES: readonly PartFault[] = [
  f(
    "wire to the relay's coil",
    "short to the battery",
    "RELAY",
    "the relay is closed at rest: lockout at arming; D5 keeps the arm input right, so the arm switch still cuts every driver",
    "diode test of D5 at each service: with D5 shorted as well the arm input would read on",
    BACKFEED,
  ),
  f(
    "wire to the relay's coil",
    "short to the driver supply",
    "KEEP-ALIVE RELAY",
    "once closed the relay holds itself: lockout at the next arming; the arm switch still cuts every driver",
    "as above",
  ),
  f(
    "driver supply",
    "short to the battery",
    "RELAY",
    "the same as a welded contact: lockout at the next arming",
    "until then the drivers are the only way to off",
  ),
];

const COIL_CLAMPS: readonly PartFault[] = [
  f(
    "clamp of a solenoid coil",
    "suppressor shorted",
    "",
    "its valve closes as late as with a plain diode; at a high frequency it may never close between pulses",
    "nothing sees it, on nitrous it means lean: measure the peak at each drain with an oscilloscope before each event",
    COILS,
  ),
  f(
    "clamp of a solenoid coil",
    "diode shorted",
    "DRIVER",
    "the suppressor conducts as soon as the driver does: the fuse of the stage blows, nitrous and fuel of that stage stop together",
    "find the short before the next fuse",
  ),
  f(
    "clamp of a solenoid coil",
    "open",
    "DRIVER",
    "the drain rises at each switching off until the transistor breaks down; once that is shorted: lockout",
    "until then nothing sees it: measure the peak at each drain",
  ),
  f(
    "driver of purge or bottle valve",
    "shorted",
    "",
    "its valve is open whenever the relay is closed; it has no read-back",
    "the purge outlet points away from people; listen and look when it arms",
  ),
];

const SUPPLIES: readonly PartFault[] = [
  f(
    "battery",
    "reversed",
    "",
    "D11 keeps the polarity relay K2 open: no current reaches the arm switch, the relay or a coil",
    "none",
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
    "every part withstands it for the minute that it lasts; the relay releases in 5.4 ms instead of 5 ms",
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
  ...PUMP_FAULTS,
  ...WIRES,
  ...COIL_CLAMPS,
  ...SUPPLIES,
  ...GROUNDS,
  ...SENSOR_WIRES,
];

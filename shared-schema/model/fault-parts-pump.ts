// How the charge pump, the wires around the master relay and the clamps of the coils fail, and which test of the circuit computes it.
import { circuitFault as f, type PartFault, partFault } from "./part-fault.ts";

const PUMP = "tests/hardware-notes/pump-faults.test.ts";
const RELEASE = "tests/hardware-notes/pump.test.ts";
const BACKFEED = "tests/hardware-notes/backfeed.test.ts";

const PUMP_FAULTS: readonly PartFault[] = [
  f(
    "charge pump",
    "C1 shorted",
    "RELAY KEEP-ALIVE",
    "a pin that is low holds the relay, so it closes with the arm switch: lockout at arming",
    "none",
    PUMP,
  ),
  partFault(
    "charge pump",
    "C2 shorted",
    "KEEP-ALIVE",
    "works on, but a pin that is stuck high holds the relay for ever: the test at arming stops the edges once with the pin high: lockout",
    "until the next arming a hang with the pin high leaves the drivers as the only way to off",
    ["KEEP-ALIVE", "charge pump holds while its pin stands high"],
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
    "R3 or R9 open",
    "",
    "the other empties the reservoir: it releases in 7 ms at most instead of 5 ms, which the test at arming accepts",
    "with both open it takes 33 ms: measure the time from the last edge to the open contact, as in the checklist",
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
    "charge pump",
    "R1, R2 or R4 open; C3, R3 or R9 shorted",
    "KEEP-ALIVE",
    "too weak or dead, the relay does not close: lockout at arming",
    "none",
  ),
  f(
    "charge pump",
    "R1, R2 or R4 shorted",
    "",
    "works on and releases in time",
    "harmless, and nothing sees it",
  ),
  f(
    "Q1 of the charge pump",
    "open, or its base shorted",
    "KEEP-ALIVE",
    "the relay does not close: lockout at arming",
    "none",
  ),
  f(
    "Q1 of the charge pump",
    "shorted",
    "RELAY KEEP-ALIVE",
    "the relay follows the arm switch alone: lockout at arming",
    "until the next arming the arm switch and the drivers are the ways to off",
  ),
  f(
    "Q2 of the charge pump",
    "its gate open",
    "RELAY KEEP-ALIVE",
    "the gate keeps what charge it has: the relay does not close, or is closed at rest: lockout at arming",
    "until the next arming the arm switch and the drivers are the ways to off",
  ),
  f(
    "Q2 of the charge pump",
    "open; D5 or R6 open; R5, D6, D8 or R10 shorted",
    "KEEP-ALIVE",
    "the relay does not close, or F2 blows: lockout at arming, or dead",
    "none",
  ),
  f(
    "Q2 of the charge pump",
    "D5 or R6 shorted, D6 open",
    "",
    "works on and releases in time; D5 shorted lets battery on the wire to the relay's coil read as armed",
    "diode test of D5 at each service; D6 counts only while the supply is too high",
  ),
  f(
    "clamp of the master relay",
    "D7 or D9 shorted",
    "",
    "the relay releases a little later, within what the design allows for",
    "harmless, and nothing sees it",
  ),
  f(
    "clamp of the master relay",
    "D7, D8 or D9 open",
    "RELAY",
    "each opening drives Q2 into breakdown; once it is shorted: lockout",
    "until then nothing sees it: diode test at each service",
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
  partFault(
    "clamp of a solenoid coil",
    "suppressor shorted",
    "CLAMP",
    "its valve closes as late as with a plain diode; its coil does not kick at switching off: lockout with the fourth pulse of more than 6 ms",
    "until then it closes late, and without `clamps` in the settings nothing sees it; with less than 10 V behind the relay it is not judged: measure the peak at each drain before each event",
    ["CLAMP", "nitrous1 coil's suppressor shorted, in pulses"],
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

/** All faults of the pump, of the wires around the relay, and of the clamps. */
export const PUMP_AND_CLAMP_FAULTS: readonly PartFault[] = [...PUMP_FAULTS, ...WIRES, ...COIL_CLAMPS];

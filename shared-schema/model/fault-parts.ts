// How each part of the hardware fails, what answers it, and what is left to the person: the table behind the fault analysis.
import { CIRCUIT_FAULTS } from "./fault-parts-circuit.ts";
import { INPUT_FAULTS } from "./fault-parts-inputs.ts";
import { OUTPUT_FAULTS } from "./fault-parts-outputs.ts";
import { partFault as f, type PartFault } from "./part-fault.ts";

const SUPPLY: readonly PartFault[] = [
  f(
    "battery, charging",
    "voltage too low",
    "BATT-LOW",
    "holds off; opening times follow the voltage before that",
    "none",
    ["BATT-LOW", "battery voltage too low"],
  ),
  f(
    "battery, charging",
    "voltage dips again and again",
    "BATT-LOW",
    "each dip holds off for 250 ms at least, and until the battery is 0.3 V above its limit; the third within seconds trips",
    "none",
    ["BATT-LOW", "battery voltage dips again and again"],
  ),
  f(
    "battery, charging",
    "voltage too high: regulator, jump start",
    "SUPPLY",
    "above 16.5 V nothing flows; from 14 to 16.5 V the valves open sooner than the opening times for 14 V say, so a little more flows",
    "the converters read up to 20.4 V; what the parts stand is another matter",
    ["SUPPLY", "battery above 16.5 V"],
  ),
];

const CHIP: readonly PartFault[] = [
  f(
    "microcontroller",
    "hangs, traps or is restarted during a lockout",
    "HANG TRAP",
    "a scratch register of the chip keeps the lockout over a reset by the watchdog and over a restart; a power-on clears it",
    "the RUN pin clears it too [from memory]: leave it without a button",
    ["HANG", "a hang after a lockout"],
  ),
  f(
    "microcontroller",
    "the program hangs",
    "HANG",
    "the watchdog resets it: pins undriven, relay open, not armed, reason kept",
    "none",
    ["HANG", "the main loop hangs"],
  ),
  f(
    "microcontroller",
    "an interrupt never ends",
    "HANG",
    "the same: feeding is not done by interrupts",
    "none",
    ["HANG", "an interrupt never ends"],
  ),
  f(
    "microcontroller",
    "runs wild into an instruction that does not exist",
    "TRAP",
    "the handler cuts pins and keep-alive, then resets",
    "none",
    ["TRAP", "an instruction that does not exist"],
  ),
  f(
    "microcontroller",
    "the core leaves its memory",
    "TRAP",
    "every access is checked: trap, pins cut, reset",
    "none",
    ["TRAP", "the core leaves its memory"],
  ),
  f(
    "microcontroller",
    "a solenoid pin stuck high",
    "DRIVER",
    "its driver conducts though not told: lockout, the relay opens",
    "none",
    ["DRIVER", "nitrous1 driver shorted: always conducts"],
  ),
  f(
    "microcontroller",
    "clock stops",
    "",
    "the watchdog stops too [from memory], pins stay as they are; the keep-alive has no edges, so the relay opens",
    "until the relay has opened a valve stays as it was; the wire of the arm switch still acts",
  ),
  f("flash", "a bit of the program flips", "IMAGE", "cannot arm", "none", [
    "IMAGE",
    "one wrong bit in the program",
  ]),
  f(
    "flash",
    "a bit of the settings flips",
    "SETTINGS",
    "the slot fails its check: an older intact slot is used and reported; without one the controller cannot arm",
    "`headgate doctor` and `status` name what is in force",
    ["SETTINGS", "one wrong bit in the stored settings"],
  ),
  f("flash", "settings of another program", "SETTINGS", "cannot arm", "none", [
    "SETTINGS",
    "settings of another schema",
  ]),
  f(
    "serial line",
    "interference, or a host that asks at the wrong time",
    "LINK",
    "damaged frames are dropped; what changes anything is refused while not off",
    "none",
    ["LINK", "settings write, log erase, service or restart asked while flowing"],
  ),
];

/** All of them, part by part. */
export const PART_FAULTS: readonly PartFault[] = [
  ...INPUT_FAULTS,
  ...OUTPUT_FAULTS,
  ...CIRCUIT_FAULTS,
  ...SUPPLY,
  ...CHIP,
];

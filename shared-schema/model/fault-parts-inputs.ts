// How what goes into the controller fails: switches, senders, sensors, converters; what answers it, and what is left to the person.
import { partFault as f, type PartFault } from "./part-fault.ts";

const WITHIN = "a value that is wrong and plausible is believed: check calibrations against a gauge";

/** Sensors, by the names of their channels; each is proved with its wire open and shorted. */
const SENSOR_WORDS: Readonly<Record<string, string>> = {
  throttle: "the throttle switch contradicts it, where both are fitted",
  manifold: WITHIN,
  bottle: WITHIN,
  fuel: WITHIN,
  lambda: "a sensor that is cold, old or far away tells late",
  coolant: WITHIN,
};

function sensorFaults(): PartFault[] {
  return Object.entries(SENSOR_WORDS).flatMap(([name, left]) => [
    f(
      `${name} sensor`,
      "signal wire open, or short to ground",
      "SENSOR",
      "reads 0 V by the input's pull-down: outside its plausible range, trip",
      left,
      ["SENSOR", `${name} sensor: wire open or short to ground`],
    ),
    f(
      `${name} sensor`,
      "signal wire short to its 5 V",
      "SENSOR",
      "reads above its plausible range, trip",
      left,
      ["SENSOR", `${name} sensor: short to 5 V`],
    ),
  ]);
}

const SWITCHES: readonly PartFault[] = [
  f(
    "arm switch",
    "wire open",
    "ARM",
    "reads off by its pull-down; the interrupt cuts every solenoid pin, and its wire also feeds the relay's coil",
    "none",
    ["ARM", "arm switch off, or its wire open"],
  ),
  f(
    "arm switch",
    "bounces, or its cable chatters",
    "ARM",
    "each edge cuts at once; shorter than 5 ms is counted as noise, and too much of it disarms",
    "look at the noise count: a wire that chatters will break",
    ["ARM", "cable chatter: arm switch off for 2 ms"],
  ),
  f(
    "arm switch",
    "short to 5 V, or contact welded",
    "ARM-BOOT",
    "a controller that starts with it on does not arm; later it looks like a driver who wants to arm",
    "switch off at the battery's disconnect; test the switch at each power-up",
    ["ARM-BOOT", "arm switch on when power comes"],
  ),
  f(
    "throttle switch",
    "wire open",
    "WOT TPS-SW",
    "not wide open: no flow at once; against an open sensor it trips",
    "none",
    ["WOT", "throttle switch open"],
  ),
  f(
    "throttle switch",
    "contact chatters with the engine, some 20 to 40 times a second",
    "WOT TPS-SW",
    "it holds off each time, and flow comes back 20 ms after the contact has; open for over a third of the time it trips",
    "without a position sensor nothing trips: many short bursts",
  ),
  f(
    "throttle switch",
    "short to 5 V, or contact welded",
    "TPS-SW WOT",
    "the position sensor closes flow at once, and the contradiction trips; welded before the arm switch went on, nothing flows",
    "one that welds while flowing is seen only by a position sensor: fit both",
    ["TPS-SW", "throttle switch short to 5 V while the throttle closes"],
  ),
  f(
    "throttle switch",
    "contact welded before the arm switch goes on",
    "LIFT",
    "nothing flows before the throttle has been seen closed for 50 ms, by every way that is fitted",
    "none",
    ["LIFT", "throttle switch welded, or the pedal held, when arming"],
  ),
  f(
    "throttle sensor",
    "frozen at wide open",
    "WOT TPS-SW",
    "the switch stops flow at once, and the contradiction trips",
    "without a switch nothing contradicts it: fit both",
    ["TPS-SW", "throttle switch open while the position sensor is frozen wide open"],
  ),
  f(
    "wire of one sensor",
    "chatters",
    "SENSOR",
    "each bad sample holds off, and counts two, each good one takes back one: trip",
    "what is bad for less than a third of the samples only holds off, and flow comes back each time 20 ms later",
    ["SENSOR", "fuel sensor: wire without contact for 3 ms of every 7"],
  ),
  f(
    "throttle switch and throttle sensor",
    "welded and frozen at wide open, both while it flows",
    "",
    "nothing contradicts either: it flows on with the throttle closed",
    "two faults at once that no pin shows: only the arm switch and the bottle valve stop it",
  ),
  f(
    "master relay and a solenoid driver",
    "welded and shorted, both while it flows",
    "DRIVER",
    "it locks out, and the coil stays energised",
    "two faults at once that no output can undo: shut the bottle, then take the supply away",
  ),
  f(
    "fuel pressure sensor and fuel pump",
    "frozen at a good value, and no fuel",
    "LEAN",
    "the mixture leaves its limit and trips, where a lambda sensor is fitted",
    "without one nothing sees it",
  ),
  f(
    "enrichment wire",
    "open",
    "ENRICH",
    "a dry stage trips after its time",
    "short to supply looks like a confirmation: check the engine computer's output at each service",
    ["ENRICH", "enrichment no longer confirmed, or its wire open"],
  ),
  f(
    "launch switch",
    "open, or short",
    "",
    "the ramps over time since launch start late, or never start again",
    "look at it in `headgate watch` before a run",
  ),
  f(
    "switch register",
    "dead, or its wires open",
    "",
    "all slow switches read as open: no purge, no heat, bottle valve shut, and a dry stage trips by ENRICH",
    "none",
  ),
];

const PULSES: readonly PartFault[] = [
  f("engine speed sender", "wire open", "RPM-LOST", "three missing periods trip", "none", [
    "RPM-LOST",
    "engine pulse wire open",
  ]),
  f(
    "engine speed sender",
    "wire short to 5 V",
    "RPM-LOST",
    "no more edges: three missing periods trip",
    "none",
    ["RPM-LOST", "engine pulse wire short to 5 V"],
  ),
  f(
    "engine speed sender",
    "extra pulses from interference",
    "RPM-JUMP RPM-WIN",
    "a speed that an engine cannot reach so fast trips; above the window it holds off before",
    "interference that was there before the first even pulses after a stand or after work in flash is believed: look at the speed in `headgate watch`",
    ["RPM-JUMP", "extra pulses on the engine wire"],
  ),
  f(
    "engine speed sender",
    "an extra pulse between any two, for good",
    "RPM-JUMP",
    "trips, and holds off until the speed has come back by such another jump, or the engine was seen to stand",
    "steps that are smaller than the settings let an engine make between two pulses: few pulses a turn at low speed, with wide limits",
    ["RPM-JUMP", "an extra pulse between any two on the engine wire, for good"],
  ),
  f(
    "engine speed sender",
    "missing pulses, a broken tooth",
    "RPM-JUMP RPM-WIN",
    "jumps in the speed trip; under the window it holds off before",
    "none",
    ["RPM-JUMP", "missing pulses on the engine wire"],
  ),
  f(
    "engine speed sender",
    "every second pulse lost, for good",
    "RPM-JUMP",
    "trips, and holds off until the speed has come back by such another jump, or the engine was seen to stand",
    "one that begins while the engine stands, or while flash is written in off, looks like half the speed: compare the tachometer with `headgate watch`",
    ["RPM-JUMP", "every second pulse of the engine wire lost, for good"],
  ),
  f(
    "road speed sender",
    "wire open",
    "SPEED-WIN GEAR-WIN",
    "reads as standing: outside every window that begins above 0, and in no gear",
    "without such a window flow goes on, with ramps over road speed at their first point",
    ["SPEED-WIN", "road speed under its window"],
  ),
];

const CONVERTERS: readonly PartFault[] = [
  f("converter A", "dead, or its select wire open", "ADC", "its leading zero is missing: trip", "none", [
    "ADC",
    "converter A does not answer",
  ]),
  f("converter B", "dead, or its select wire open", "ADC", "its leading zero is missing: trip", "none", [
    "ADC",
    "converter B does not answer",
  ]),
  f("converters' data line", "open, or short to 3.3 V", "ADC", "no leading zeros: trip", "none", [
    "ADC",
    "data line of the converters open or short to 3.3 V",
  ]),
  f("converters' data line", "short to ground", "ADC", "one code on all channels: trip", "none", [
    "ADC",
    "data line of the converters short to ground",
  ]),
  f(
    "converters' command line",
    "short to ground, or open and low",
    "ADC",
    "no conversion is asked for, and no leading zeros come: trip",
    "none",
    ["ADC", "command line of the converters short to ground"],
  ),
  f(
    "converters' command line",
    "short to 3.3 V, or open and high",
    "ADC SENSOR DRIVER BATT-LOW",
    "one channel is read for all, too early: the leading zeros are missing, all codes are the same, or what they say cannot be",
    "which row answers hangs on the voltage; with neither a sensor nor leading zeros that are missing only the drivers contradict it, within 60 ms",
  ),
  f(
    "converters' reference",
    "drifts",
    "",
    "every sensor shows the same error",
    "the throttle's two proofs drift apart only by more than their gap: compare a gauge with `headgate watch`",
  ),
];

/** All faults of inputs. */
export const INPUT_FAULTS: readonly PartFault[] = [...SWITCHES, ...PULSES, ...sensorFaults(), ...CONVERTERS];

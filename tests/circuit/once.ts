// The faults that were found in the circuit as it once was: each with its outcome there and in the circuit of now.
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import { findings } from "#shared-schema/circuit/rules.ts";
import {
  all,
  change,
  leaveOut,
  NO_POLARITY_RELAY,
  OLD_CLAMPS,
  OLD_DIODE,
  OLD_GROUND,
  OLD_NUMBERS,
} from "../hardware-notes/mistakes.ts";
import { type CircuitFault, faultsOf } from "./faults.ts";
import { CARRIES_A, SCENES, solve, worst } from "./judge.ts";
import type { Scene } from "./model.ts";
import { timed } from "./once-timed.ts";
import type { Row } from "./spice/times.ts";

/** What a fault does: in words with its number, and whether that is one that must not be. */
export interface Outcome {
  readonly bad: boolean;
  readonly text: string;
}

/** A fault, and what it does. `answer` says what meets it where the circuit alone does not. */
export interface Found {
  readonly name: string;
  readonly was: Outcome;
  readonly now: Outcome;
  readonly answer?: string;
}

type Do = (circuit: Circuit) => Outcome;

const DEAD = SCENES["arm on, processor in reset"]!;
const OFF = SCENES["arm off, keep-alive low"]!;
const HELD: Scene = { ...DEAD, keepAlive: "edges" };
const FAULTS = new Map(faultsOf(CIRCUIT).map((fault) => [fault.name, fault]));

function faultOf(name: string): CircuitFault {
  const fault = FAULTS.get(name);
  if (!fault) throw new Error(`no fault ${name}`);
  return fault;
}

/** Current in the valves' coils when nothing should flow. */
const coils =
  (values: Values, scene: Scene, fault?: string): Do =>
  (circuit) => {
    const amps = worst(solve(circuit, scene, values, fault === undefined ? undefined : faultOf(fault)));
    return {
      bad: amps > CARRIES_A,
      text: amps > CARRIES_A ? `${amps.toFixed(1)} A in a coil` : "no coil has current",
    };
  };

/** What the arm pin reads with its switch off. */
const armReads =
  (values: Values, fault: string): Do =>
  (circuit) => {
    const { volts } = solve(circuit, OFF, values, faultOf(fault));
    const pin = volts("armSwitch") - volts("gnd");
    const on = pin > values("pin.low");
    return { bad: on, text: `arm pin at ${pin.toFixed(1)} V: reads ${on ? "on" : "off"}` };
  };

/** How far the converters' reference is from where it should be: so much does every sensor read wrong. */
const reference =
  (values: Values, fault?: string, closed: readonly string[] = []): Do =>
  (circuit) => {
    // Converters that rest take next to nothing from it [from memory].
    const rests = closed.length > 0 ? [leaveOut("U8", "U9", "U10")] : [];
    const shut = all(
      ...rests,
      ...closed.map((ref) => change(ref, (part) => ({ ...part, kind: "jumper" as const }))),
    );
    const { volts } = solve(shut(circuit), OFF, values, fault === undefined ? undefined : faultOf(fault));
    const at = volts("3v3") - volts("gnd");
    const share = at / values("adc.reference") - 1;
    return {
      bad: Math.abs(share) > 0.02,
      text: `the converters' 3.3 V at ${at.toFixed(2)} V: sensors read ${(-100 * share || 0).toFixed(0)} %`,
    };
  };

/** Whether a sensor's wire stands where a reading could be true. */
const plausible =
  (values: Values, fault: string): Do =>
  (circuit) => {
    const at = solve(circuit, OFF, values, faultOf(fault)).volts("throttle.signal");
    return { bad: at > 0.5 && at < 4.5, text: `its signal wire at ${at.toFixed(1)} V` };
  };

/** Whether a rule over ratings finds it. */
const rule =
  (values: Values, name: string): Do =>
  (circuit) => {
    const found = findings(circuit, values).filter((one) => one.rule === name);
    return { bad: found.length > 0, text: found[0]?.what ?? `keeps "${name}"` };
  };

const onBoth = (name: string, old: (circuit: Circuit) => Circuit, does: Do, answer?: string): Found => ({
  name,
  was: does(old(CIRCUIT)),
  now: does(CIRCUIT),
  ...(answer === undefined ? {} : { answer }),
});
const as = (circuit: Circuit): Circuit => circuit;

const solvedOnes = (values: Values): Found[] => [
  onBoth(
    "link between logic ground and star open, processor dead",
    OLD_GROUND,
    coils(values, DEAD, "LK1: 1 open"),
  ),
  onBoth(
    "a ground wire of the box broken, processor dead",
    all(OLD_GROUND, leaveOut("W2")),
    coils(values, DEAD, "W1: open"),
  ),
  onBoth(
    "battery on the wire from Q2 to the relay's coil, arm switch off",
    OLD_DIODE,
    armReads(values, "W9: on battery"),
  ),
  onBoth("the same in the relay's socket (86 to 30)", OLD_DIODE, armReads(values, "K1: 86 shorted to 30")),
  onBoth("the same in the relay's socket (86 to 87)", OLD_DIODE, armReads(values, "K1: 86 shorted to 87")),
  onBoth("reversed battery, arm switch on", NO_POLARITY_RELAY, coils(values, { ...DEAD, battery: -14.4 })),
  onBoth(
    "four slow switches closed, converters at rest",
    OLD_CLAMPS,
    reference(values, undefined, ["S5", "S6", "S7", "S8"]),
  ),
  onBoth("battery on one sensor's wire", OLD_CLAMPS, reference(values, "W402: on battery")),
  onBoth(
    "a sensor's ground wire open",
    as,
    plausible(values, "W403: open"),
    "SENSOR: outside the valid window",
  ),
  onBoth(
    "driver of the purge valve shorted, relay closed",
    as,
    coils(values, HELD, "Q1001: D shorted to S"),
    "left to you: not read back; the arm switch, the key or F7 end it",
  ),
  onBoth("the same, arm switch off", as, coils(values, OFF, "Q1001: D shorted to S")),
];

const numbers = (values: Values): Found[] =>
  (
    [
      ["main fuse against eight coils and the bottle valve", "fuses carry their load for long"],
      ["heat in a clamp", "clamps stand their heat"],
      ["bleeder at a jump start", "resistors stand their heat"],
      ["gate of Q2 at a jump start", "the gate of Q2 is held"],
    ] as const
  ).map(([name, what]) => onBoth(name, OLD_NUMBERS[what] ?? as, rule(values, what)));

/** All of them. `rows` are the runs in time as they are kept or were just made. */
export async function foundOnce(values: Values, rows: readonly Row[]): Promise<Found[]> {
  return [...solvedOnes(values), ...numbers(values), ...(await timed(values, rows))];
}

/** One line for people. */
export const foundLine = ({ name, was, now, answer }: Found): string =>
  `${name}: as it was: ${was.text}; as it is: ${now.text}${answer === undefined ? "" : ` (${answer})`}`;

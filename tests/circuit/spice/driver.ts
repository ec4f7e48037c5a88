// One solenoid driver with its coil and clamp in time: release, peak at the drain, heat in the suppressor.

import { SOLENOIDS } from "#shared-schema/circuit/drivers.ts";
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import type { CircuitFault } from "../faults.ts";
import { type Cutout, type Deck, deckOf } from "./deck.ts";
import { solved, type Trace } from "./engine.ts";

/** A coil and how it is driven. */
export interface Drive {
  readonly hz: number;
  readonly ohm: number;
  readonly henry: number;
  readonly volts: number;
}

/** What a pulse comes to: times in s, volts, amperes, watts; no release when current never falls so far. */
export interface DriverTimes {
  readonly releaseS: number | undefined;
  readonly peakV: number;
  readonly settledA: number;
  readonly suppressorW: number;
}

const NAME = SOLENOIDS[0]!;
const STEP_S = 10e-6;
/** The pulse that is looked at follows one that warms up. */
const PULSES = 2;
const DUTY = 0.7;

export const DRIVER_REFS = ["R101", "R102", "R103", "Q101", "D101", "D102", "Y1"] as const;

function cutout({ hz, volts }: Drive): Cutout {
  const period = 1 / hz;
  const buffer = `PULSE(0 5 0 1u 1u ${DUTY * period} ${period})`;
  return {
    refs: DRIVER_REFS,
    joined: [
      ["stage1", "Y1.supply"],
      [`${NAME}.drain`, "Y1.drain"],
      ["gnd", "star"],
    ],
    sources: [
      `Vsupply {stage1} 0 ${volts}`,
      `Vbuffer drive 0 ${buffer}`,
      `Rbuffer drive {${NAME}.buffer} 30`,
    ],
    sensed: "D101.A",
    save: [`v({${NAME}.drain})`, "i(vsense)", "v({stage1})", "v({clamp1})", "i(ly1)"],
    stepS: STEP_S,
    stopS: PULSES * period,
  };
}

/** Energy over a time, J, by trapezia. */
function energy(time: readonly number[], watts: (i: number) => number, fromS: number): number {
  let sum = 0;
  for (let i = 1; i < time.length; i++)
    if (time[i]! > fromS) sum += ((watts(i) + watts(i - 1)) / 2) * (time[i]! - time[i - 1]!);
  return sum;
}

function measured(trace: Trace, { hz }: Drive, releaseA: number): DriverTimes {
  const { time } = trace;
  const amps = trace.vector("i(ly1)");
  const drain = trace.vector(`v(n_${NAME}_drain)`);
  const [clamp, supply] = [trace.vector("v(n_clamp1)"), trace.vector("v(n_stage1)")];
  const through = trace.vector("i(vsense)");
  const [fromS, offS] = [(PULSES - 1) / hz, (PULSES - 1 + DUTY) / hz];
  const off = time.findIndex((s) => s >= offS);
  const released = time.findIndex((_, i) => i >= off && Math.abs(amps[i]!) < releaseA);
  return {
    releaseS: released < 0 ? undefined : time[released]! - offS,
    peakV: drain.reduce((most, v) => Math.max(most, v), 0),
    settledA: amps[off]!,
    suppressorW: hz * energy(time, (i) => Math.abs((clamp[i]! - supply[i]!) * through[i]!), fromS),
  };
}

/** The deck of a driver with a coil, and with a fault in it. */
export function driverDeck(circuit: Circuit, drive: Drive, values: Values, fault?: CircuitFault): Deck {
  const own: Values = (key) =>
    key === "coil.resistance" ? drive.ohm : key === "coil.inductance" ? drive.henry : values(key);
  return deckOf(circuit, cutout(drive), own, fault);
}

/** Solves it. */
export async function driverTimes(
  circuit: Circuit,
  drive: Drive,
  values: Values,
  fault?: CircuitFault,
): Promise<DriverTimes> {
  const trace = await solved(driverDeck(circuit, drive, values, fault));
  return measured(trace, drive, values("coil.release-current"));
}

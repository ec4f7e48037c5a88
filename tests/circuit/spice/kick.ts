// The kick of a coil at its drain as the converter would read it: for how long after switching off a reading stands above a threshold.

import { SOLENOIDS } from "#shared-schema/circuit/drivers.ts";
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import type { CircuitFault } from "../faults.ts";
import { type Deck, deckOf } from "./deck.ts";
import { DRIVER_REFS } from "./driver.ts";
import { solved } from "./engine.ts";

/** A pulse: how long the driver conducts, s, and at which supply, V. */
export interface Kick {
  readonly onS: number;
  readonly volts: number;
}

export interface KickTimes {
  /** Current at switching off, A. */
  readonly amps: number;
  /** First and last time after switching off at which the reading stands above the threshold; left out for never. */
  readonly fromS?: number;
  readonly untilS?: number;
}

const NAME = SOLENOIDS[0]!;
/** Until the clamp rail stands. */
const BEFORE_S = 60e-3;
const AFTER_S = 30e-3;
/** Between a shorted suppressor's drain at the highest battery and a full code: volts at the drain. */
export const KICK_V = 18.5;

export function kickDeck(circuit: Circuit, { onS, volts }: Kick, values: Values, fault?: CircuitFault): Deck {
  const off = BEFORE_S + onS;
  return deckOf(
    circuit,
    {
      refs: [...DRIVER_REFS, "R105", "R106", "C101", "D104", "R11", "C11", "U5"],
      joined: [
        ["stage1", "Y1.supply"],
        [`${NAME}.drain`, "Y1.drain"],
        ["gnd", "star"],
      ],
      sources: [
        `Vsupply {stage1} 0 ${volts}`,
        "Vfive {5v} 0 5",
        `Vbuffer drive 0 PWL(0 0 ${BEFORE_S} 0 ${BEFORE_S + 1e-6} 5 ${off} 5 ${off + 1e-6} 0)`,
        `Rbuffer drive {${NAME}.buffer} 30`,
      ],
      save: [`v({${NAME}.tap})`, "i(ly1)"],
      stepS: 10e-6,
      stopS: off + AFTER_S,
    },
    values,
    fault,
  );
}

export async function kickTimes(
  circuit: Circuit,
  kick: Kick,
  values: Values,
  fault?: CircuitFault,
): Promise<KickTimes> {
  const { time, vector } = await solved(kickDeck(circuit, kick, values, fault));
  const off = BEFORE_S + kick.onS;
  const threshold = (KICK_V * values("tap.bottom")) / (values("tap.top") + values("tap.bottom"));
  const tap = vector(`v(n_${NAME}_tap)`);
  const above = time.flatMap((s, i) => (s > off && tap[i]! > threshold ? [s - off] : []));
  const amps = vector("i(ly1)")[time.findIndex((s) => s >= off)]!;
  return { amps, ...(above.length > 0 ? { fromS: above[0]!, untilS: above.at(-1)! } : {}) };
}

/** Pulses that are tried: short and long, at the usual and at the highest supply. */
export const KICKS: readonly Kick[] = [2, 4, 8, 35].flatMap((ms) =>
  [13.8, 16.5].map((volts) => ({ onS: ms / 1000, volts })),
);
/** What is wrong with the clamp, if anything. */
export const KICK_FAULTS = ["D101: A shorted to K", "D102: A shorted to K", "D101: A open"] as const;

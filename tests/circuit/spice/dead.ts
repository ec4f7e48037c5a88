// A processor that dies while one coil has current and its neighbour has none: relay and watchdog end it, with a single fault or without.

import { SOLENOIDS } from "#shared-schema/circuit/drivers.ts";
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import type { CircuitFault } from "../faults.ts";
import { type Cutout, type Deck, deckOf } from "./deck.ts";
import { solved, type Trace } from "./engine.ts";
import { PUMP_REFS, pumpDeck, pumpTimes, SLOWEST } from "./pump.ts";

/** `hangs`: the watchdog lets every pin go; `stops`: the clock has stopped, the watchdog with it, and pins stay as they are. */
export type Death = "hangs" | "stops";
export const DEATHS: readonly Death[] = ["hangs", "stops"];

/** From the last edge of the keep-alive to the release of the last coil; left out for never. */
export interface DeadTimes {
  readonly contactS?: number;
  readonly endS?: number;
}

const STEP_S = 20e-6;
/** Long enough for the coil's current to settle. */
const LAST_EDGE_S = 0.04;
const AFTER_S = 0.08;

/** Parts of both drivers, of their coils, and the bleeder. */
export const DEAD_REFS: readonly string[] = [
  ...[1, 2].flatMap((n) => [`R${n}01`, `R${n}02`, `R${n}03`, `Q${n}01`, `D${n}01`, `D${n}02`, `Y${n}`]),
  "R8",
];
/** Wires of both coils and of the driver supply. */
export const DEAD_WIRES: readonly string[] = ["W201", "W202", "W203", "W204", "W5"];

function cutout(death: Death, contactS: number | undefined, values: Values): Cutout {
  const falls = LAST_EDGE_S + values("hang.watchdog");
  const opens = LAST_EDGE_S + (contactS ?? 1);
  const [on, off] = [SOLENOIDS[0]!, SOLENOIDS[1]!];
  return {
    refs: DEAD_REFS,
    joined: [
      ["drv", "stage1"],
      ["stage1", "Y1.supply"],
      ["stage1", "Y2.supply"],
      [`${on}.drain`, "Y1.drain"],
      [`${off}.drain`, "Y2.drain"],
      ["battery.minus", "star"],
      ["gnd", "star"],
    ],
    sources: [
      `Vbattery {battery} 0 ${values("coil.supply")}`,
      ".model CONTACT SW(VT=0.5 VH=0.1 RON=5m ROFF=1e9)",
      `Vcontact contact 0 PWL(0 1 ${opens} 1 ${opens + 1e-6} 0)`,
      "Scontact {battery} {k1.out} contact 0 CONTACT",
      "Rcontact {k1.out} {drv} 5m",
      death === "hangs" ? `Von drive_on 0 PWL(0 5 ${falls} 5 ${falls + 1e-6} 0)` : "Von drive_on 0 5",
      `Ron drive_on {${on}.buffer} 30`,
      `Roff {${off}.buffer} 0 30`,
    ],
    save: ["i(ly1)", "i(ly2)"],
    stepS: STEP_S,
    stopS: LAST_EDGE_S + AFTER_S,
  };
}

/** When the last of both coils lets go for good, from the last edge; never, when one still has current at the end. */
function lastRelease(trace: Trace, releaseA: number): number | undefined {
  const coils = ["i(ly1)", "i(ly2)"].map((name) => trace.vector(name));
  const last = trace.time.findLastIndex((_, i) => coils.some((amps) => Math.abs(amps[i]!) > releaseA));
  if (last < 0) return 0;
  return last >= trace.time.length - 1 ? undefined : Math.max(0, trace.time[last]! - LAST_EDGE_S);
}

const ofPump = (fault: CircuitFault | undefined): boolean =>
  fault !== undefined && PUMP_REFS.includes(fault.name.split(":")[0]!);

/** When the contact opens after the last edge: what the design allows for, or what a fault of way 2 makes of it at its slowest. */
async function contactTime(
  circuit: Circuit,
  values: Values,
  fault: CircuitFault | undefined,
): Promise<number | undefined> {
  if (!ofPump(fault)) return values("hang.pump-and-relay");
  const runs = [];
  for (const profile of ["edges then low", "edges then high"] as const)
    runs.push(await pumpTimes(circuit, profile, values, fault, SLOWEST));
  if (runs.some(({ releaseS }) => releaseS === undefined)) return undefined;
  return Math.max(...runs.map(({ releaseS }) => releaseS!)) + values("relay.mechanics");
}

/** The decks that a case takes; those of the coils are written for the time that the design allows for. */
export function deadDecks(circuit: Circuit, death: Death, values: Values, fault?: CircuitFault): Deck[] {
  values("relay.mechanics");
  const own = ofPump(fault) ? undefined : fault;
  const coils = deckOf(circuit, cutout(death, values("hang.pump-and-relay"), values), values, own);
  return ofPump(fault) ? [pumpDeck(circuit, "edges then low", values, fault, SLOWEST), coils] : [coils];
}

/** Solves it. */
export async function deadTimes(
  circuit: Circuit,
  death: Death,
  values: Values,
  fault?: CircuitFault,
): Promise<DeadTimes> {
  const contactS = await contactTime(circuit, values, fault);
  const own = ofPump(fault) ? undefined : fault;
  const trace = await solved(deckOf(circuit, cutout(death, contactS, values), values, own));
  const endS = lastRelease(trace, values("coil.release-current"));
  return { ...(contactS === undefined ? {} : { contactS }), ...(endS === undefined ? {} : { endS }) };
}

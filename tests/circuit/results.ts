// What is kept of the faults put into the circuit: the few that let a coil carry current, and the hash of what was solved.
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import { type CircuitFault, isNamed } from "./faults.ts";
import { CARRIES_A, SCENES, solve, worst } from "./judge.ts";
import { devices } from "./model.ts";

/** A fault and a scene in which not every coil is off. */
export interface Exception {
  readonly fault: string;
  readonly scene: string;
  readonly outcome: string;
  /** The one that is left to the person. */
  readonly named: boolean;
}

export interface Results {
  readonly hash: string;
  readonly faults: number;
  readonly scenes: number;
  /** Faults whose states keep changing in some scene, as those of a gate whose output is at its input. */
  readonly restless: readonly string[];
  readonly exceptions: readonly Exception[];
}

/** Where the results are kept. */
export const RESULTS = join(import.meta.dirname, "../../hardware-notes/circuit-faults.json");
export const readResults = (): Results => JSON.parse(readFileSync(RESULTS, "utf8")) as Results;

const MODELS = ["solver.ts", "devices.ts", "model.ts", "faults.ts", "judge.ts"];

/** Hash of the circuit, the values that the models ask for, and the models; how a source is laid out does not matter. */
export function hashOf(circuit: Circuit, values: Values): string {
  return modelHash(circuit, values, MODELS, (ask) => {
    for (const scene of Object.values(SCENES)) devices(circuit, () => 0, scene, ask, 0);
  });
}

/** The circuit without what is said to people alone: what a wire is for, and where a part stands. */
const solvedPart = ({ parts, wires }: Circuit): object => ({
  parts: parts.map(({ place: _, ...part }) => part),
  wires: wires.map(({ what: _, ...wire }) => wire),
});

/** The same for any models, by their files in this folder; `askAll` asks for every value that they use. */
export function modelHash(
  circuit: Circuit,
  values: Values,
  models: readonly string[],
  askAll: (ask: Values) => void,
): string {
  const asked = new Map<string, number>();
  askAll((key) => {
    asked.set(key, values(key));
    return values(key);
  });
  const numbers = [...asked].sort(([a], [b]) => (a < b ? -1 : 1));
  const sources = models.map((name) =>
    readFileSync(join(import.meta.dirname, name), "utf8")
      .replace(/^import.*$/gm, "")
      .replace(/[\s,();"]/g, ""),
  );
  return createHash("sha256")
    .update(JSON.stringify([solvedPart(circuit), numbers, sources]))
    .digest("hex")
    .slice(0, 16);
}

/** Scenes in which a fault leaves a coil with current; and in how many the states kept changing, though without such a current. */
export function tryFault(
  circuit: Circuit,
  fault: CircuitFault,
  values: Values,
): { found: Exception[]; restless: number } {
  let restless = 0;
  const found = Object.entries(SCENES).flatMap(([scene, scenery]) => {
    const solved = solve(circuit, scenery, values, fault);
    const amps = worst(solved);
    if (!solved.settled) restless++;
    if (amps <= CARRIES_A) return [];
    return [{ fault: fault.name, scene, outcome: `${amps.toFixed(2)} A`, named: isNamed(fault) }];
  });
  return { found, restless };
}

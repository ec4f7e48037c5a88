// Voltages across the parts of a solved run against their ratings.
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit, Part } from "#shared-schema/circuit/part.ts";
import type { Trace } from "./engine.ts";

/** Kinds that are rated by a voltage; suppressors and Zener diodes conduct on purpose. */
const RATED: readonly Part["kind"][] = ["capacitor", "diode", "schottky", "n-fet", "npn", "p-fet"];

const number = (rated: number | string | undefined, values: Values): number | undefined =>
  typeof rated === "string" ? values(rated) : rated;

/** Highest voltage between two pins; of a transistor between those of its channel, of a diode backwards. */
function across(part: Part, at: (net: string) => readonly number[]): number {
  const legs = part.pins.filter(({ name }) => !["G", "B"].includes(name));
  const [a, b] = [at(legs[0]!.net), at(legs[1]!.net)];
  const sign = legs[0]!.name === "A" ? -1 : 0;
  return a.reduce((most, v, i) => Math.max(most, sign === 0 ? Math.abs(v - b[i]!) : b[i]! - v), 0);
}

/** The part that comes nearest to its rated voltage. */
export function worstStress(
  { parts }: Circuit,
  refs: readonly string[],
  trace: Trace,
  values: Values,
): { worst: string; worstV: number; share: number } {
  const zero = trace.time.map(() => 0);
  const at = (net: string): readonly number[] =>
    net === "star" ? zero : trace.vector(`v(n_${net.replace(/\W/g, "_")})`);
  const rated = parts.filter(({ ref, kind }) => refs.includes(ref) && RATED.includes(kind));
  const found = rated.map((part) => {
    const worstV = across(part, at);
    return { worst: part.ref, worstV, share: worstV / number(part.rating.volts, values)! };
  });
  return found.reduce((most, one) => (one.share > most.share ? one : most));
}

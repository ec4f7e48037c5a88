// All rules of the circuit, and what they find.
import type { Values } from "./graph.ts";
import type { Circuit } from "./part.ts";
import { type CircuitRule, CONNECTED } from "./rules-connected.ts";
import { OFF } from "./rules-off.ts";
import { RATINGS } from "./rules-ratings.ts";

export const CIRCUIT_RULES: readonly CircuitRule[] = [...CONNECTED, ...OFF, ...RATINGS];

/** Every place where a circuit breaks a rule: the rule's name, and what is wrong. */
export function findings(circuit: Circuit, values: Values): { rule: string; what: string }[] {
  return CIRCUIT_RULES.flatMap(({ name, check }) =>
    check(circuit, values).map((what) => ({ rule: name, what })),
  );
}

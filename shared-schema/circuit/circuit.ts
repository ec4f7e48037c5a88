// The whole circuit: the one source of parts list, connector and wire tables, netlist for other programs, rules and analysis of faults.
import { CHIPS, DECOUPLING } from "./chips.ts";
import { DRIVERS } from "./drivers.ts";
import { OUTSIDE, WIRES } from "./harness.ts";
import { INPUTS } from "./inputs.ts";
import type { Circuit, CircuitPin, Part } from "./part.ts";
import { PUMP } from "./pump.ts";
import { SUPPLY } from "./supply.ts";

/** The circuit as hardware-notes describe it. */
export const CIRCUIT: Circuit = {
  parts: [...CHIPS, ...DECOUPLING, ...DRIVERS, ...PUMP, ...SUPPLY, ...INPUTS, ...OUTSIDE],
  wires: WIRES,
};

/** One end at a net: a pin of a part, or the end of a wire at a connector's pin. */
export interface End {
  readonly part: Part;
  readonly pin: CircuitPin;
}

/** Pins on each net, those of connectors included. Pins that are open on purpose are on none. */
export function nets({ parts }: Circuit): Map<string, End[]> {
  const found = new Map<string, End[]>();
  for (const part of parts)
    for (const pin of part.pins) {
      if (pin.net === "") continue;
      const ends = found.get(pin.net) ?? [];
      ends.push({ part, pin });
      found.set(pin.net, ends);
    }
  return found;
}

/** The pin that a text such as `X2.1` or `BT1.-` names. Throws when there is none. */
export function endAt({ parts }: Circuit, text: string): End {
  const [ref, no] = text.split(".");
  const part = parts.find((one) => one.ref === ref);
  const pin = part?.pins.find((one) => one.no === no);
  if (!part || !pin) throw new Error(`no pin ${text}`);
  return { part, pin };
}

/** The part of a reference. Throws when there is none. */
export function partOf({ parts }: Circuit, ref: string): Part {
  const found = parts.find((one) => one.ref === ref);
  if (!found) throw new Error(`no part ${ref}`);
  return found;
}

// Damaged wires between a car and a practice board: what the connectors see in place of what the car gives.
import { SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Connectors } from "../loop/connectors.ts";
import { WIRES } from "./verbs.ts";

/** A wire: as it should be, open, short to ground or to 5 V, closed for good, or a sensor's at a voltage, mV. */
export type Wire = "good" | "open" | "ground" | "5V" | "closed" | number;

/** [assumed] What each damage of a sensor's wire shows, mV: an open one lies at 0 V through the input's pull-down. */
const SENSOR_MV: Readonly<Record<string, number>> = { open: 0, ground: 0, "5V": 5000 };
const CHANNELS: Readonly<Record<string, (typeof ADC_A)[number]>> = {
  "throttle-sensor": "throttle",
  mixture: "lambda",
};
const SWITCHES: Readonly<Record<string, keyof typeof SWITCH_BITS>> = {
  "throttle-switch": "throttle",
  "bottle-valve": "bottleValve",
};

const isOne = (list: readonly string[], name: string): boolean => list.includes(name);

/** Words that a wire takes. */
export function wireWords(name: string): readonly string[] {
  if (isOne(WIRES.sensor, name)) return ["good", "open", "ground", "5V"];
  return isOne(WIRES.switch, name) ? ["good", "open", "closed"] : ["good", "open"];
}

export const takesVoltage = (name: string): boolean => isOne(WIRES.sensor, name);

/** Changes what the connectors show by one damaged wire. */
export function damage(connectors: Connectors, name: string, wire: Wire): void {
  if (wire === "good") return;
  if (isOne(WIRES.sensor, name)) {
    const channel = ADC_A.indexOf(CHANNELS[name] ?? (name as (typeof ADC_A)[number]));
    connectors.sensorsMv[channel] = typeof wire === "number" ? wire : SENSOR_MV[wire]!;
  } else if (isOne(WIRES.switch, name)) {
    const bit = 1 << SWITCH_BITS[SWITCHES[name] ?? (name as keyof typeof SWITCH_BITS)];
    connectors.switches = wire === "closed" ? connectors.switches | bit : connectors.switches & ~bit;
  } else if (name === "engine") connectors.engineHz = 0;
  else connectors.roadHz = 0;
}

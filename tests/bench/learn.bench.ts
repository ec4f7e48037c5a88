// How near the truth learning comes: two runs each of eleven invented cars that are not as their files say, in four ways.
import type { DrivenCar } from "#host/bench/loop/closed-loop.ts";
import { shutSettings } from "#host/learn/baseline.ts";
import type { Finding, Quantity } from "#host/learn/findings.ts";
import { learn } from "#host/learn/learn.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { TWELVE_CARS } from "../host/plan/twelve-cars.ts";
import { plannedEntry } from "../support/driven.ts";
import { type Hidden, hiddenRun } from "../support/hidden-car.ts";
import type { Row } from "./row.ts";

/** Friction over slip, as shares of the peak's: one steep and early, one late and flat. */
const EARLY = [
  [0, 0],
  [0.25, 0.55],
  [0.5, 0.85],
  [1, 1],
  [1.5, 0.96],
  [3, 0.85],
  [10, 0.7],
] as const;
const LATE = [
  [0, 0],
  [0.5, 0.7],
  [1, 0.95],
  [1.6, 1],
  [3, 0.97],
  [10, 0.85],
] as const;

const AS_ELSE = { stepsInMs: 2, noiseMv: 5 } as const;
/** Ways in which the cars differ from their files. */
const DEVIATIONS: readonly Hidden[] = [
  { ...AS_ELSE, grip: 0.7, nitrous: 1.1, curve: EARLY, stepsInMs: 3, seed: 6, driver: { spin: "flat" } },
  { ...AS_ELSE, grip: 0.9, engine: 0.9, nitrous: 0.9, curve: LATE, lags: 0.7, seed: 2 },
  { ...AS_ELSE, grip: 0.8, engine: 1.1, nitrous: 0.9, curve: LATE, lags: 1.3, seed: 5 },
  { ...AS_ELSE, grip: 1.1, engine: 0.9, nitrous: 1.2, curve: EARLY, lags: 1.2, seed: 9 },
];
/** Aims in percent; flow has none of the others' kind: a bottle's pressure says it roughly. */
const AIMS: readonly (readonly [Quantity, string | undefined])[] = [
  ["engine", "under 3"],
  ["nitrous", "under 5"],
  ["grip", "under 3"],
  ["flow", undefined],
];

/** A car file with a sender at an undriven wheel, without which only the flow is told. */
function withUndrivenSender(text: string): string {
  if (text.includes("road-sender")) return text;
  const sender = "road-sender: undriven-wheel";
  if (text.includes("controls: {")) return text.replace("controls: {", `controls: {${sender}, `);
  return `${text}\ncontrols: {road-pulses: 4000 pulses/km, ${sender}}`;
}

/** How far a finding is off, in percent; undefined where nothing is told. What is told as at least can only be too much. */
function offOf(finding: Finding, hidden: Hidden): number | undefined {
  if (!finding.told) return undefined;
  const { quantity, factor, isLeast } = finding;
  const truth = (quantity === "flow" ? hidden.nitrous : hidden[quantity]) ?? 1;
  const off = 100 * (factor / truth - 1);
  return isLeast ? Math.max(0, off) : Math.abs(off);
}

async function findingsOf(
  entry: DrivenCar & { readonly settings: Document },
  hidden: Hidden,
): Promise<Finding[]> {
  const { run: shut } = await hiddenRun(entry, shutSettings(entry.settings), hidden, "shut");
  const { run: open } = await hiddenRun(entry, entry.settings, hidden, "open");
  return learn([shut, open], { car: entry.car, supplyFor: () => entry.supply });
}

/** Measures; takes some minutes. A car that drives all its wheels has none that could tell its speed. */
export async function run(): Promise<Row[]> {
  const offs = new Map<Quantity, number[]>(AIMS.map(([quantity]) => [quantity, []]));
  let pairs = 0;
  for (const { name, text } of TWELVE_CARS.filter((car) => !car.text.includes("driven: all"))) {
    const entry = plannedEntry(withUndrivenSender(text));
    for (const hidden of DEVIATIONS) {
      pairs++;
      for (const finding of await findingsOf(entry, hidden)) {
        const off = offOf(finding, hidden);
        if (off !== undefined) offs.get(finding.quantity)!.push(off);
        const said = off === undefined ? "not told" : `${off.toFixed(1)} % off`;
        process.stderr.write(`  ${name}: ${finding.quantity} ${said}\n`);
      }
    }
  }
  return AIMS.flatMap(([quantity, aim]) => {
    const all = offs.get(quantity)!;
    const name = `learn, ${pairs} pairs of runs: ${quantity}`;
    return [
      { name: `${name}, worst`, value: Math.max(...all), unit: "% off", ...(aim && { aim }) },
      { name: `${name}, told`, value: all.length, unit: "times" },
    ];
  });
}

// What is fitted on a car, by its settings, and its live values as short facts; what is not fitted has none worth showing.
import { numberOf } from "#host/link/payload.ts";
import { COLUMNS } from "#shared-schema/link/columns.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { FULL_SHARE_PERMILLE } from "#shared-schema/settings/words.ts";
import { type Cell, cellLines } from "./cells.ts";
import type { Section } from "./fold.ts";
import type { Moment } from "./moment.ts";
import { liveCell } from "./status.ts";

/** Optional groups of settings without which a column says nothing. */
const NEEDS: Readonly<Record<string, string>> = {
  roadDeciKmh: "road",
  gear: "gearbox",
  manifoldDeciKpa: "manifold",
  bottleKpaGauge: "bottle",
  fuelDeciKpaGauge: "fuel",
  milliLambda: "lambda",
  coolantMv: "coolant",
  retardDeciDeg: "retard",
};
const PRESSURES: readonly string[] = ["bottleKpaGauge", "fuelDeciKpaGauge", "manifoldDeciKpa"];
/** Told in words elsewhere on the screen. */
const ELSEWHERE: readonly string[] = [
  ...["mode", "reasons", "trip", "tripValue", "flowing", "flags", "switches", "sharePermille"],
  ...PRESSURES,
];
/** What only matters when something is looked for. */
const COUNTERS: readonly string[] = ["timeUs", "loopUs", "noiseCuts", "badFrames"];
/** Outputs in words; the lamp and the halves of the square wave change too fast to be read. */
const OUTPUTS: Readonly<Record<string, string>> = {
  keepAlive: "relay",
  purge: "purge",
  heater: "heater",
  bottleValve: "bottle valve",
  stageActive: "stage active",
};
const SWITCHES: Readonly<Record<string, string>> = {
  arm: "arm",
  throttle: "throttle",
  launch: "launch",
  purge: "purge",
  heater: "heater",
  bottleValve: "bottle valve",
  enrich: "enrichment",
};

type Stage = { readonly enrichment?: unknown };

/** Questions to a document, or to none: then nothing is known to be fitted. */
class Fitted {
  readonly stages: readonly Stage[];
  private readonly document: Document;

  constructor(document: Document | undefined) {
    this.document = document ?? {};
    this.stages = (this.document.stages ?? []) as readonly Stage[];
  }

  column(name: string): boolean {
    const group = NEEDS[name];
    return group === undefined || this.document[group] !== undefined;
  }

  switch(name: string): boolean {
    if (name === "arm") return true;
    if (name === "throttle") return (this.document.throttle as Document | undefined)?.switch === "yes";
    if (name === "enrich") return this.stages.some(({ enrichment }) => enrichment !== undefined);
    return this.document[name] !== undefined;
  }
}

function cellsOf(names: readonly string[], { values }: Moment, fitted: Fitted): Cell[] {
  const columns = names.flatMap((name) => COLUMNS.filter((column) => column.name === name));
  return columns.filter(({ name }) => fitted.column(name)).map((column) => liveCell(column, values));
}

const BAR = 30;

function stageSection({ values, flowing }: Moment, fitted: Fitted, width: number): Section {
  const shares = (values.sharePermille ?? []) as readonly number[];
  const rows = fitted.stages.map((_, s) => {
    const share = shares[s] ?? 0;
    const text = `${(share / 10).toFixed(1).padStart(5)} % ${flowing.includes(s + 1) ? "flows" : "shut "}`;
    return { cell: [`stage ${s + 1}`, text] as const, full: share / FULL_SHARE_PERMILLE };
  });
  const bar = (full: number): string => {
    const done = Math.round(Math.min(1, full) * BAR);
    return `[${"#".repeat(done)}${".".repeat(BAR - done)}]`;
  };
  const long = rows.map(({ cell, full }) => `${cell.join(" ")}  ${bar(full)}`);
  const short = cellLines(
    rows.map(({ cell }) => cell),
    width,
  );
  const fits = long.every((line) => line.length <= width);
  return { name: "stages", forms: fits ? [long, short] : [short] };
}

function switchCells({ switches, outputs }: Moment, fitted: Fitted): Cell[] {
  const seen = Object.entries(SWITCHES).filter(([name]) => fitted.switch(name));
  const on = outputs.flatMap((name) => OUTPUTS[name] ?? []);
  return [
    [
      "switches",
      seen.map(([name, words]) => `${words} ${switches.includes(name) ? "on" : "off"}`).join(", "),
    ],
    ["outputs on", on.join(", ") || "none"],
  ];
}

/** Stages, pressures and the rest, in this order, with `more` facts at the end of the rest. */
export function fittedSections(
  moment: Moment,
  settings: Document | undefined,
  width: number,
  more: readonly Cell[] = [],
): Section[] {
  const fitted = new Fitted(settings);
  const names = COLUMNS.map(({ name }) => name).filter((name) => !ELSEWHERE.includes(name));
  const rest = [...names.filter((name) => !COUNTERS.includes(name)), ...COUNTERS];
  const facts = [...cellsOf(rest, moment, fitted), ...switchCells(moment, fitted), ...more];
  return [
    stageSection(moment, fitted, width),
    { name: "pressures", forms: [cellLines(cellsOf(PRESSURES, moment, fitted), width)] },
    { name: "the rest", forms: [cellLines(facts, width)] },
  ];
}

/** Engine speed and battery voltage, for one line. */
export function vitalsText({ values }: Moment): string {
  return `engine ${numberOf(values, "engineRpm")} rpm; battery ${numberOf(values, "batteryMv") / 1000} V`;
}

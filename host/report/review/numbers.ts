// A run in numbers: how long and how much it flowed, pressures, peaks; nothing that its log cannot tell.
import type { Line } from "#host/car/supply-data.ts";
import { GAP_S } from "#host/logbook/align.ts";
import { flowingSeconds } from "#host/logbook/digest.ts";
import type { LogSample } from "#host/logbook/sample.ts";
import { formatQuantity } from "#host/units/format.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { CHANNELS, type Channel, shown } from "./channels.ts";
import { type Reviewed, since } from "./reviewed.ts";
import { mostSlip } from "./slip.ts";

/** A row: what, its value, and what it rests on. */
export type NumberRow = readonly [what: string, value: string, basis: string];

const FLOWING = MODES.indexOf("flowing");
const PA_PER_KPA = 1000;

/** Sum over the records in which flow is on of what `rate` says a second. */
function sumWhileFlowing(samples: readonly LogSample[], rate: (sample: LogSample) => number): number {
  return samples.reduce((sum, sample, i) => {
    const next = samples[i + 1]?.time;
    if (sample.mode !== FLOWING || next === undefined) return sum;
    return sum + rate(sample) * Math.min(next - sample.time!, GAP_S);
  }, 0);
}

const shareOf =
  (stage: number) =>
  (sample: LogSample): number =>
    (sample[`share${stage}`] ?? 0) / 100;

function stageRow({ samples }: Reviewed, stage: number): NumberRow[] {
  const share = shareOf(stage);
  const flowedS = sumWhileFlowing(samples, (sample) => (share(sample) > 0 ? 1 : 0));
  if (flowedS === 0) return [];
  const fullS = sumWhileFlowing(samples, share);
  const mean = `mean share ${((100 * fullS) / flowedS).toFixed(0)} %, as much as ${fullS.toFixed(2)} s of its full flow`;
  return [[`stage ${stage} flowed`, `${flowedS.toFixed(2)} s`, mean]];
}

/** Straight between points, ends held. */
function along(line: Line, x: number): number {
  const after = line.findIndex(([at]) => at > x);
  if (after === 0) return line[0]![1];
  if (after < 0) return line.at(-1)![1];
  const [[x0, y0], [x1, y1]] = [line[after - 1]!, line[after]!];
  return y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
}

/** Bottle pressure is stored; 0 means that no sensor is fitted. */
const hasBottle = (samples: readonly LogSample[]): boolean => samples.some(({ bottle = 0 }) => bottle > 0);

/** Nitrous by the shares of the log and the flow of the plan, kg. */
export function nitrousKg({ samples, car }: Reviewed): number | undefined {
  if (!car) return undefined;
  const { supply } = car;
  const measured = hasBottle(samples);
  const rising = [...supply.flowOverBottle].sort(([a], [b]) => a - b);
  return sumWhileFlowing(samples, (sample) => {
    const flow = supply.stages.reduce(
      (sum, { nitrousKgS }, i) => sum + nitrousKgS * shareOf(i + 1)(sample),
      0,
    );
    return flow * (measured ? along(rising, (sample.bottle ?? 0) * PA_PER_KPA) : 1);
  });
}

function massRow(run: Reviewed): NumberRow[] {
  const kg = nitrousKg(run);
  if (kg === undefined || kg === 0) return [];
  const planned = formatQuantity(run.car!.plannedKg, "lb", 2);
  const basis = `calculated from the shares and the plan's flow; the plan uses ${planned} a run; weigh the bottle to know`;
  return [["nitrous used", formatQuantity(kg, "lb", 2), basis]];
}

function slipRow(run: Reviewed): NumberRow[] {
  const most = mostSlip(run);
  if (!most) return [];
  const at = since(run, most.atS).toFixed(2);
  const basis = `at ${at} s; engine against road speed by the car file's gears, from half a second after each opening: a slipping clutch is in it, and more than a gear's step is not seen`;
  return [["most wheelspin, at least", `${(100 * most.slip).toFixed(1)} %`, basis]];
}

const channelOf = (column: string): Channel => CHANNELS.find((one) => one.column === column)!;

/** How a pressure fell while it flowed. */
function dropRow({ samples }: Reviewed, column: "bottle" | "fuel", step: string): NumberRow[] {
  const first = samples.findIndex(({ mode }) => mode === FLOWING);
  const before = samples[Math.max(0, first - 1)]?.[column] ?? 0;
  const while_ = samples.filter(({ mode }) => mode === FLOWING).map((sample) => sample[column] ?? 0);
  if (first < 0 || before === 0) return [];
  const channel = channelOf(column);
  const lowest = Math.min(...while_);
  const fell = shown(channel, before - lowest).replace(/ gauge$/, "");
  const words = `from ${shown(channel, before)} before the first flow to ${shown(channel, lowest)} at the lowest; ${step}`;
  return [[`${channel.title.toLowerCase()} fell`, fell, words]];
}

function extremeRow(run: Reviewed, column: string, which: "highest" | "lowest"): NumberRow[] {
  const { samples, origin } = run;
  const pick = which === "highest" ? Math.max : Math.min;
  const values = samples.map((sample) => sample[column] ?? 0);
  const value = values.reduce((a, b) => pick(a, b), values[0] ?? 0);
  if (value === 0) return [];
  const at = samples[values.indexOf(value)]!.time! - origin.atS;
  const channel = channelOf(column);
  return [[`${which} ${channel.title.toLowerCase()}`, shown(channel, value), `at ${at.toFixed(2)} s`]];
}

/** All rows. */
export function numberRows(run: Reviewed): NumberRow[] {
  const { samples } = run;
  const flowing = flowingSeconds(samples);
  return [
    ["flowed in all", `${flowing.toFixed(2)} s`, "any stage; to a hundredth of a second for each opening"],
    ...[1, 2, 3, 4].flatMap((stage) => stageRow(run, stage)),
    ...massRow(run),
    ...slipRow(run),
    ...dropRow(run, "bottle", "stored in steps of 50 kPa"),
    ...dropRow(run, "fuel", "stored in steps of 5 kPa"),
    ...extremeRow(run, "engineSpeed", "highest"),
    ...extremeRow(run, "roadSpeed", "highest"),
    ...extremeRow(run, "battery", "lowest"),
  ];
}

// What runs say of a car, as lines for a screen: each quantity with its uncertainty and evidence, what goes into the car file, what comes next.
import type { Change } from "#host/learn/car-text.ts";
import type { Finding, RunValue, Told } from "#host/learn/findings.ts";
import type { Step } from "#host/learn/step.ts";
import { formatQuantity } from "#host/units/format.ts";
import { labelled, wrap } from "../terminal/wrap.ts";

/** What the car file and its plan say of each quantity: a friction, W, W, kg/s. */
export type Filed = Readonly<Record<Finding["quantity"], number>>;

/** Everything that is told. `file`: name of the car file. */
export interface LearnTold {
  readonly name: string;
  readonly file: string;
  readonly filed: Filed;
  readonly findings: readonly Finding[];
  readonly step: Step;
  readonly changes: readonly Change[];
  /** Where the file's former text is; undefined when nothing was written. */
  readonly former: string | undefined;
}

const TITLES: Readonly<Record<Finding["quantity"], string>> = {
  grip: "grip",
  engine: "engine power",
  nitrous: "nitrous power",
  flow: "nitrous flow",
};
const POWER = (value: number): string =>
  `${formatQuantity<"power">(value, "kW", 1)} (${formatQuantity<"power">(value, "hp", 0)})`;
const WORDS: Readonly<Record<Finding["quantity"], (value: number) => string>> = {
  grip: (value) => value.toFixed(3),
  engine: POWER,
  nitrous: POWER,
  flow: (value) => `${(1000 * value).toFixed(1)} g/s`,
};
const LABEL = 16;

const label = (text: string): string => `  ${text.padEnd(LABEL)}`;

function against(factor: number, filed: string): string {
  const percent = 100 * (factor - 1);
  const by = `${Math.abs(percent).toFixed(1)} % ${percent < 0 ? "less" : "more"}`;
  return `${Math.abs(percent) < 0.05 ? "as much as" : `${by} than`} the ${filed} of the car file and its plan`;
}

const evidence = (
  { run, moments, fromS, toS, factor }: RunValue,
  value: (factor: number) => string,
): string =>
  `${run}: ${value(factor)} from ${moments} records between ${fromS.toFixed(2)} s and ${toS.toFixed(2)} s`;

function toldLines(told: Told, filed: number, width: number): string[] {
  const words = WORDS[told.quantity];
  const value = (factor: number): string => words(factor * filed);
  const least = told.isLeast ? "at least " : "";
  const first = `${least}${value(told.factor)} +-${(100 * told.uncertainty).toFixed(1)} %: ${against(told.factor, words(filed))}`;
  const texts = [first, ...told.runs.map((run) => evidence(run, value))];
  return texts.flatMap((text, i) => labelled(label(i === 0 ? TITLES[told.quantity] : ""), text, width));
}

function findingLines(finding: Finding, filed: Filed, width: number): string[] {
  const { quantity } = finding;
  if (finding.told) return toldLines(finding, filed[quantity], width);
  return [
    ...labelled(label(TITLES[quantity]), `not told: ${finding.why}`, width),
    ...labelled(label(""), `do: ${finding.todo}`, width),
  ];
}

/** What the numbers rest on. */
const ASSUMED =
  "Taken from the car file as they stand: mass, gears, tyre size, drag, losses of the gearbox, shape of the torque curve, and the place of the centre of gravity. One percent more mass is one percent more power.";

const changeWords = ({ key, was, is }: Change): string =>
  `${key}: ${was === undefined ? "" : `${was} -> `}${is}`;

function riseLine({ risePoints, raised }: Step): string {
  if (raised)
    return `The next plan asks for up to ${risePoints!.toFixed(1)} points more flow than the one before.`;
  return "The next plan asks for no more flow than the one before, anywhere.";
}

function changeLines({ file, step, changes, former }: LearnTold, width: number): string[] {
  if (changes.length === 0) return wrap(`nothing changes in ${file}`, width, 2);
  const first =
    former === undefined ? `goes into ${file} with --write:` : `wrote ${file}; as it was: ${former}`;
  return [
    ...wrap(first, width, 2),
    ...changes.flatMap((change) => labelled(" ", changeWords(change), width)),
    ...wrap(riseLine(step), width, 2),
  ];
}

function writingLines(told: LearnTold, width: number): string[] {
  const { file, step, former } = told;
  const stops = step.stops.join(", ");
  const after = [
    ...step.remarks.map((remark) => `- ${remark}.`),
    ...(stops === ""
      ? []
      : [`- The next plan has a STOP (${stops}): it writes no settings until that is answered.`]),
    ...(former === undefined ? [] : [`next: headgate plan ${file} --settings FILE`]),
  ];
  return [...changeLines(told, width), ...after.flatMap((text) => wrap(text, width, 2))];
}

/** The whole text. */
export function learnLines(told: LearnTold, width: number): string[] {
  return [
    ...wrap(`what the runs say of ${told.name}`, width, 2),
    ...told.findings.flatMap((finding) => findingLines(finding, told.filed, width)),
    "",
    ...wrap(ASSUMED, width),
    "",
    ...writingLines(told, width),
  ];
}

// What was learned in the text of a car file: single numbers are replaced where they stand, everything else stays as it was written.
import { isMap, isScalar, isSeq, type Node, parseDocument } from "yaml";
import type { Installed } from "./learn-run.ts";
import type { Factors } from "./step.ts";

/** One number: its key, as it was and as it is. `was` is undefined where the file did not have it. */
export interface Change {
  readonly key: string;
  readonly was: string | undefined;
  readonly is: string;
}

/** A text with what was changed in it. */
export interface Edited {
  readonly text: string;
  readonly changes: readonly Change[];
}

/** Values of a plan where the file has none, with what they are multiplied to. */
const DEFAULTS = { friction: "1", efficiency: "26 %" } as const;
const DIGITS = 4;
const NUMBER = /\d+(?:\.\d+)?(?:e[+-]?\d+)?/iu;

/** The first number of a text, times a factor. */
function scaled(text: string, factor: number): string {
  return text.replace(NUMBER, (number) => String(Number((Number(number) * factor).toPrecision(DIGITS))));
}

type Path = readonly (string | number)[];

/** The scalar at a path, with its place in the text. Throws a RangeError at an alias, or where there is none. */
function scalarAt(text: string, path: Path): { from: number; to: number } | undefined {
  const node = parseDocument(text).getIn(path, true) as Node | undefined;
  if (node === undefined || node === null) return undefined;
  if (!isScalar(node) || !node.range) throw new RangeError(`${path.join(".")} is no plain value`);
  return { from: node.range[0], to: node.range[1] };
}

/** Multiplies the number at a path; undefined when the file has none there. */
function scaleAt(edited: Edited, path: Path, factor: number, label: string): Edited | undefined {
  const { text, changes } = edited;
  const place = scalarAt(text, path);
  if (place === undefined) return undefined;
  const was = text.slice(place.from, place.to);
  const is = scaled(was, factor);
  return {
    text: text.slice(0, place.from) + is + text.slice(place.to),
    changes: [...changes, { key: label, was: was.trim(), is: is.trim() }],
  };
}

/** Where the last thing inside a node ends, without the space after it. */
const endOf = (text: string, node: Node): number => text.slice(0, node.range![1]).trimEnd().length;
const endOfLine = (text: string, at: number): number => {
  const end = text.indexOf("\n", at);
  return end < 0 ? text.length : end;
};
const columnOf = (text: string, at: number): number => at - (text.lastIndexOf("\n", at - 1) + 1);

/** Adds `key: value` to a group of the file; the group too where it is missing. */
function inserted(text: string, group: string, key: string, value: string): string {
  const node = parseDocument(text).get(group, true) as Node | undefined;
  if (!isMap(node) || !node.range) return `${text.trimEnd()}\n${group}: { ${key}: ${value} }\n`;
  const last = node.items.at(-1);
  const entry = `${key}: ${value}`;
  if (last === undefined)
    return `${text.slice(0, node.range[0] + 1)}${entry}${text.slice(node.range[0] + 1)}`;
  const at = endOf(text, (last.value ?? last.key) as Node);
  if (node.flow) return `${text.slice(0, at)}, ${entry}${text.slice(at)}`;
  const indent = " ".repeat(columnOf(text, (last.key as Node).range![0]));
  const line = endOfLine(text, at);
  return `${text.slice(0, line)}\n${indent}${entry}${text.slice(line)}`;
}

/** Multiplies a number, or writes the one that the plan assumed times the factor. */
function scaleOrInsert(
  edited: Edited,
  [group, key]: readonly [string, string],
  factor: number,
  assumed: string,
): Edited {
  const label = `${group}.${key}`;
  const done = scaleAt(edited, [group, key], factor, label);
  if (done !== undefined) return done;
  const is = scaled(assumed, factor);
  return {
    text: inserted(edited.text, group, key, is),
    changes: [...edited.changes, { key: label, was: undefined, is }],
  };
}

/** Multiplies the second numbers of a list of pairs; undefined without such a list. */
function scalePairs(edited: Edited, path: Path, factor: number): Edited | undefined {
  const node = parseDocument(edited.text).getIn(path, true);
  if (!isSeq(node)) return undefined;
  const label = path.join(".");
  let { text } = edited;
  for (let i = 0; i < node.items.length; i++) {
    const done = scaleAt({ text, changes: [] }, [...path, i, 1], factor, label);
    text = done?.text ?? text;
  }
  const is = `every ${path.at(-1) === "slip-curve" ? "friction" : "torque"} x ${factor.toFixed(3)}`;
  return { text, changes: [...edited.changes, { key: label, was: undefined, is }] };
}

const withGrip = (edited: Edited, factor: number): Edited =>
  scalePairs(edited, ["tyres", "slip-curve"], factor) ??
  scaleOrInsert(edited, ["tyres", "friction"], factor, DEFAULTS.friction);

function withEngine(edited: Edited, factor: number): Edited {
  const power = scaleOrInsert(edited, ["engine", "power"], factor, "");
  return scalePairs(power, ["engine", "torque-curve"], factor) ?? power;
}

/**
 * The jets are in the car: goal and efficiency move together, so that the plan keeps the flow and knows what it gives. Throws a
 * RangeError where the goal is a time.
 */
function withNitrous(edited: Edited, factor: number): Edited {
  const goal = scaleAt(edited, ["goal", "added-power"], factor, "goal.added-power");
  if (goal === undefined) throw new RangeError("the goal is a time");
  return scaleOrInsert(goal, ["nitrous", "efficiency"], factor, DEFAULTS.efficiency);
}

/** The division of the flow that is in the car, so that the plan does not ask for other jets. */
function withParts(edited: Edited, parts: readonly number[]): Edited {
  const { text, changes } = edited;
  const document = parseDocument(text);
  const there = document.getIn(["goal", "parts"]) !== undefined;
  const stages = Number(document.getIn(["goal", "stages"]) ?? parts.length);
  if (parts.length < 2 || there || stages !== parts.length) return edited;
  const is = `[${parts.map((part) => `${Number((100 * part).toFixed(1))} %`).join(", ")}]`;
  return {
    text: inserted(text, "goal", "parts", is),
    changes: [...changes, { key: "goal.parts", was: undefined, is }],
  };
}

/** The axis that the ramps have, so that the next ones can be compared with them. */
function withAxis(edited: Edited, axis: string | undefined): Edited {
  const { text, changes } = edited;
  if (axis === undefined || parseDocument(text).getIn(["goal", "ramp"]) !== undefined) return edited;
  return {
    text: inserted(text, "goal", "ramp", axis),
    changes: [...changes, { key: "goal.ramp", was: undefined, is: axis }],
  };
}

/** The text with the factors and with what is in the car. Throws a RangeError where a value cannot be replaced. */
export function withFactors(
  text: string,
  { grip, engine, nitrous }: Factors,
  { parts, axis }: Installed,
): Edited {
  let edited = withAxis(withParts({ text, changes: [] }, parts), axis);
  if (grip !== undefined) edited = withGrip(edited, grip);
  if (engine !== undefined) edited = withEngine(edited, engine);
  return nitrous === undefined ? edited : withNitrous(edited, nitrous);
}

/** Where values come from: written into the file beside them. */
export interface Origin {
  /** Day, ISO 8601. */
  readonly on: string;
  readonly runs: readonly string[];
  readonly raised: boolean;
}

const changeWords = ({ key, was, is }: Change): string =>
  `${key}: ${was === undefined ? "" : `${was} -> `}${is}`;

/** The text with an entry under `learned` that tells where its changes come from. */
export function withOrigin({ text, changes }: Edited, { on, runs, raised }: Origin): string {
  const quoted = (texts: readonly string[]): string => texts.map((one) => JSON.stringify(one)).join(", ");
  const values = quoted(changes.map(changeWords));
  const entry = `{ on: ${on}, raised: ${raised ? "yes" : "no"}, runs: [${quoted(runs)}], values: [${values}] }`;
  const node = parseDocument(text).get("learned", true);
  if (!isSeq(node) || !node.range || node.flow || node.items.length === 0)
    return `${text.trimEnd()}\n# Written by headgate learn: where values of this file come from.\nlearned:\n  - ${entry}\n`;
  const last = node.items.at(-1) as Node;
  const indent = " ".repeat(columnOf(text, last.range![0]) - 2);
  const line = endOfLine(text, endOf(text, last));
  return `${text.slice(0, line)}\n${indent}- ${entry}${text.slice(line)}`;
}

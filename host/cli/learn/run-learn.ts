// Learning from files to report: runs beside the plan of the car, what may be written, and the car file with it.

import { peakFriction } from "#host/car/settled/traction.ts";
import { EXIT } from "#host/errors/exit.ts";
import { Failure } from "#host/errors/failure.ts";
import { shutSettings } from "#host/learn/baseline.ts";
import { type Change, withFactors, withOrigin } from "#host/learn/car-text.ts";
import type { Finding } from "#host/learn/findings.ts";
import { learn } from "#host/learn/learn.ts";
import { type Installed, installedBy, type LearnRun } from "#host/learn/learn-run.ts";
import { type Asked, askedOf } from "#host/learn/rise.ts";
import { type Factors, type Step, stepOf } from "#host/learn/step.ts";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import { readCarFile } from "#host/plan/input/read.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import { ChainTooNarrow } from "#host/plan/nitrous/sizing.ts";
import { GoalUnreachable } from "#host/plan/run/goal.ts";
import { supplyOf } from "#host/plan/run/supply.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { type Filed, learnLines } from "#host/report/learn/text.ts";
import { checkSettings } from "#host/settings/check.ts";
import { formatSettings } from "#host/settings/write.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { freeName, readText, requireNew, writeNew, writeOver } from "../files.ts";
import type { PortOptions } from "../line/connect.ts";
import { loadedCar, planOf } from "../plan/car-file.ts";
import { planOnce } from "../plan/plan-once.ts";
import { schemaUrl } from "../schema-url.ts";
import type { Result, Session } from "../session.ts";
import { goodFile } from "../settings/settings-file.ts";
import { learnRuns } from "./runs-of.ts";

/** Options of `headgate learn`. */
export interface LearnOptions extends PortOptions {
  readonly write?: true | undefined;
  readonly raise?: true | undefined;
  readonly baseline?: string | undefined;
  readonly settings?: string | undefined;
}

/** What a plan of a text asks for; undefined when it has none. */
function askedOfText(text: string): Asked | undefined {
  const loaded = loadCar(text);
  if (!loaded.ok) return undefined;
  try {
    return askedOf(planOnce(loaded.input));
  } catch (thrown) {
    if (thrown instanceof GoalUnreachable || thrown instanceof ChainTooNarrow) return undefined;
    throw thrown;
  }
}

/** The same with factors in it, each plan made once; `plan` is that of the file as it is. */
function plansOf(
  text: string,
  installed: Installed,
  plan: SystemPlan,
): (factors: Factors) => Asked | undefined {
  const made = new Map<string, Asked | undefined>([["{}", askedOf(plan)]]);
  return (factors) => {
    const key = JSON.stringify(factors);
    if (!made.has(key)) made.set(key, askedOfText(withFactors(text, factors, installed).text));
    return made.get(key);
  };
}

/** The file as it is, with the division over the stages and the axis that are in the car, and its plan. */
async function presentCar(
  session: Session,
  file: string,
  text: string,
  installed: Installed,
): Promise<{ input: PlanInput; plan: SystemPlan }> {
  const asItIs = await loadedCar(session, file);
  const divided = loadCar(withFactors(text, {}, installed).text);
  const input = divided.ok ? divided.input : asItIs;
  return { input, plan: await planOf(input) };
}

const GOAL_IS_TIME =
  "the nitrous power is not written, because the goal is a time; put goal: {added-power: ...} in its place, with the power that the jets in the car were chosen for";

/** Findings that the file can take, and why others are left out. */
function writable(text: string, findings: readonly Finding[]): { findings: Finding[]; remarks: string[] } {
  const read = readCarFile(text);
  const isTime = read.ok && read.file.goal["added-power"] === undefined;
  const left = findings.filter(({ quantity, told }) => !(isTime && told && quantity === "nitrous"));
  return { findings: left, remarks: left.length < findings.length ? [GOAL_IS_TIME] : [] };
}

/** Runs that shares were raised for before, by what the file says of itself. */
function usedKeys(text: string): string[] {
  const read = readCarFile(text);
  const entries = (read.ok ? read.file.learned : undefined) ?? [];
  return entries.filter(({ raised }) => raised === "yes").flatMap(({ runs }) => runs.map(keyIn));
}

const originOf = ({ name, key }: LearnRun): string => `${name} (${key})`;
const keyIn = (origin: string): string => /\(([^()]+)\)$/u.exec(origin)?.[1] ?? origin;

interface Decided {
  readonly step: Step;
  readonly changes: readonly Change[];
  readonly after: string;
}

function decided(
  text: string,
  installed: Installed,
  plan: SystemPlan,
  findings: readonly Finding[],
  raise: boolean,
): Decided {
  const can = writable(text, findings);
  const step = stepOf({
    findings: can.findings,
    planWith: plansOf(text, installed, plan),
    raise,
    usedKeys: usedKeys(text),
  });
  const edited =
    Object.keys(step.factors).length === 0 ? undefined : withFactors(text, step.factors, installed);
  return {
    step: { ...step, remarks: [...can.remarks, ...step.remarks] },
    changes: edited?.changes ?? [],
    after: edited?.text ?? text,
  };
}

const filedOf = (input: PlanInput, plan: SystemPlan): Filed => ({
  grip: peakFriction(input.car.grip),
  engine: input.engine.powerW,
  nitrous: plan.added.powerW,
  flow: plan.sizing.nitrousKgS,
});

/** Writes the file with the origin of its values, and its former text beside it. */
function writeCar(
  { io }: Session,
  file: string,
  before: string,
  edited: { text: string; changes: readonly Change[] },
  origin: Parameters<typeof withOrigin>[1],
): string {
  const after = withOrigin(edited, origin);
  if (!readCarFile(after).ok)
    throw new Failure("bug", {
      what: `${file} with what was learned would have errors; nothing was written`,
    });
  const former = freeName(io, file);
  writeNew(io, former, before);
  writeOver(io, file, after);
  return former;
}

const AFTER_BASELINE =
  "load it, shut the bottle, arm as always and drive as always with the pedal down through at least two gears; then `headgate pull last --out shut.hgrun`, and load the former settings again";

/** The settings of the run with the bottle shut. Fails with `usage` when nothing says which settings are in use. */
function writeBaseline(
  session: Session,
  { baseline, settings }: LearnOptions,
  runs: readonly LearnRun[],
): string[] {
  if (baseline === undefined) return [];
  const own: Document | undefined =
    settings === undefined ? runs[0]?.settings : goodFile(session, settings).document;
  if (own === undefined)
    throw new Failure("usage", {
      what: "--baseline needs the settings that are in use",
      todo: "name them with --settings, or name a run that was made with them",
    });
  const name = "run with the bottle shut: every share is 0";
  const text = formatSettings(shutSettings(own), { name, schema: schemaUrl() });
  const { document, issues } = checkSettings(text);
  if (document === undefined)
    throw new Failure("bad-settings", {
      what: `these settings with every share at 0 do not pass the check: ${issues[0]?.text ?? ""}`,
    });
  writeNew(session.io, baseline, text);
  return [`wrote ${baseline}: every share is 0, so that neither valve moves`, `do: ${AFTER_BASELINE}`];
}

const NOTHING: Step = { factors: {}, risePoints: undefined, raised: false, remarks: [], stops: [] };

async function fromRuns(
  session: Session,
  file: string,
  runs: readonly LearnRun[],
  options: LearnOptions,
): Promise<Result> {
  const text = readText(session.io, file);
  const installed = installedBy(runs[0]!.settings);
  const { input, plan } = await presentCar(session, file, text, installed);
  const findings = learn(runs, {
    car: input.car,
    supplyFor: ({ settings }) => supplyOf(input, plan, settings),
  });
  const told = findings.some((finding) => finding.told);
  const { step, changes, after } = told
    ? decided(text, installed, plan, findings, options.raise === true)
    : { step: NOTHING, changes: [], after: text };
  const on = session.io.now().toISOString().slice(0, 10);
  const origin = { on, runs: runs.map(originOf), raised: step.raised };
  const former =
    options.write && changes.length > 0
      ? writeCar(session, file, text, { text: after, changes }, origin)
      : undefined;
  const filed = filedOf(input, plan);
  return {
    exit: told ? EXIT.yes : EXIT.no,
    data: {
      car: file,
      runs: runs.map(({ name, key }) => ({ name, key })),
      filed,
      findings,
      step,
      changes,
      wrote: former === undefined ? null : file,
      former: former ?? null,
    },
    lines: learnLines({ name: input.name, file, filed, findings, step, changes, former }, session.width),
  };
}

/** Learns. Exit 1 when the runs tell nothing at all. */
export async function learnFrom(
  session: Session,
  file: string,
  names: readonly string[],
  options: LearnOptions,
): Promise<Result> {
  if (names.length === 0 && options.baseline === undefined)
    throw new Failure("usage", {
      what: "no run is named",
      todo: "name run files, or --baseline FILE to begin with the run with the bottle shut",
    });
  if (options.raise && !options.write)
    throw new Failure("usage", {
      what: "--raise goes with --write",
      todo: "add --write, or leave --raise out",
    });
  if (options.baseline !== undefined) requireNew(session.io, options.baseline);
  const runs = await learnRuns(session, names, options);
  const wrote = writeBaseline(session, options, runs);
  const baseline = options.baseline ?? null;
  if (runs.length === 0) return { data: { car: file, baseline }, lines: session.wrapped(...wrote) };
  const result = await fromRuns(session, file, runs, options);
  return {
    ...result,
    data: { ...result.data, baseline },
    lines: [...result.lines, ...(wrote.length > 0 ? ["", ...session.wrapped(...wrote)] : [])],
  };
}

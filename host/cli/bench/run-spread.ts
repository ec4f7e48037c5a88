// A spread from options to report: the car, the runs on all processors, the file, and the worst run as a page.
import { createHash } from "node:crypto";
import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { findings } from "#host/bench/findings.ts";
import { noise, under } from "#host/bench/loop/conditions.ts";
import { worstOf } from "#host/bench/loop/quantiles.ts";
import { rehearse } from "#host/bench/loop/rehearse.ts";
import { RigController } from "#host/bench/loop/rig-controller.ts";
import { launchScript } from "#host/bench/loop/script.ts";
import { noiseOf, runsOf, type SpreadPlan, type SpreadRun } from "#host/bench/loop/spread.ts";
import { batteryTolerance, type Tolerance, USUAL_TOLERANCE } from "#host/bench/loop/tolerance.ts";
import { EIGHTH_MILE_M, QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
import type { SupplyData } from "#host/car/supply-data.ts";
import { Failure } from "#host/errors/failure.ts";
import { carLine, type RunOrigin } from "#host/report/rehearsal/origin.ts";
import type { SpreadHead } from "#host/report/spread/head.ts";
import { PAGE_TITLE, spreadPage, type WorstRun } from "#host/report/spread/page.ts";
import { requireWritable, writeOver } from "../files.ts";
import { requirePage, writePage } from "../page-file.ts";
import type { Result, Session } from "../session.ts";
import { type GoodFile, goodFile } from "../settings/settings-file.ts";
import { TOOL_VERSION } from "../version.ts";
import { coreModule } from "./controllers.ts";
import { carOrigin, type NamedCar, namedCar } from "./driven-car.ts";
import { storedFlash } from "./rig-flash.ts";
import { runsThere, spreadText } from "./spread-file.ts";
import { carOf, type SpreadJob } from "./spread-job.ts";
import { spreadResult } from "./spread-report.ts";
import { driveRuns } from "./spread-runs.ts";

/** Options of `headgate spread`; base units. */
export interface SpreadOptions {
  readonly car?: string | undefined;
  readonly runs: number;
  readonly seed: number;
  readonly corners?: true | undefined;
  readonly until: "quarter" | "eighth";
  readonly grip?: number | undefined;
  readonly late?: number | undefined;
  readonly bottle?: number | undefined;
  readonly flow?: number | undefined;
  readonly valves?: number | undefined;
  readonly batteryLow?: number | undefined;
  readonly batteryHigh?: number | undefined;
  readonly noise?: number | undefined;
  readonly part?: readonly [part: number, of: number] | undefined;
  readonly out?: string | undefined;
  readonly html?: string | undefined;
  readonly workers?: number | undefined;
}

/** The battery's edges. Fails with `usage` where they do not lie on both sides of the planned battery. */
function batteryOf(supply: SupplyData, { batteryLow, batteryHigh }: SpreadOptions) {
  const { batteryV } = supply;
  const [low, high] = [batteryLow ?? supply.batteryLowV, batteryHigh ?? supply.batteryHighV];
  if (low <= batteryV && batteryV <= high)
    return batteryTolerance({ batteryV, batteryLowV: low, batteryHighV: high });
  throw new Failure("usage", {
    what: `--battery-low and --battery-high must lie on both sides of the car's ${batteryV.toFixed(1)} V`,
  });
}

function toleranceOf(supply: SupplyData, options: SpreadOptions): Tolerance {
  const { grip, late, bottle, flow, valves, noise: volts } = options;
  return {
    ...batteryOf(supply, options),
    gripShare: grip ?? USUAL_TOLERANCE.gripShare,
    lateS: late ?? USUAL_TOLERANCE.lateS,
    bottlePa: bottle ?? USUAL_TOLERANCE.bottlePa,
    flowShare: flow ?? USUAL_TOLERANCE.flowShare,
    valveShare: valves ?? USUAL_TOLERANCE.valveShare,
    noiseMv: volts === undefined ? USUAL_TOLERANCE.noiseMv : volts * 1000,
  };
}

function planOf(supply: SupplyData, options: SpreadOptions): SpreadPlan {
  return {
    seed: options.seed,
    runs: options.runs,
    tolerance: toleranceOf(supply, options),
    corners: options.corners === true,
    until: { distanceM: options.until === "eighth" ? EIGHTH_MILE_M : QUARTER_MILE_M },
  };
}

/** Numbers of the runs of a part, or of all. */
function numbersOf(all: number, part: SpreadOptions["part"]): number[] {
  const [which, of] = part ?? [1, 1];
  return Array.from({ length: all }, (_, run) => run).filter((run) => run % of === which - 1);
}

function headOf(file: GoodFile, named: NamedCar, options: SpreadOptions, plan: SpreadPlan): SpreadHead {
  const inputs = createHash("sha256")
    .update(JSON.stringify([named.driven, TOOL_VERSION]))
    .update(file.block)
    .digest("hex");
  return {
    format: "headgate-spread",
    version: 2,
    settings: file.file,
    hash: file.hash,
    ...(options.car === undefined ? {} : { car: options.car }),
    inputs,
    whose: carLine(carOrigin(named)),
    plannedS: named.plannedS,
    bottlePa: named.driven.supply.bottlePa,
    batteryV: named.driven.supply.batteryV,
    plan,
    all: runsOf(plan),
  };
}

/** Drives the worst run again, with everything that a page shows. */
function drivenAgain(job: SpreadJob, { conditions, run }: SpreadRun): Omit<WorstRun, "origin"> {
  const { module, flash } = carOf(job);
  const seen = rehearse({
    ...under(job.driven, conditions),
    controller: new RigController(module, flash),
    settings: job.settings,
    script: launchScript(job.settings, conditions),
    until: job.plan.until,
    disturb: noise(conditions, noiseOf(job.plan, run)),
  });
  return { run: seen, found: findings(seen, job.settings) };
}

const originOf = (session: Session, file: GoodFile, named: NamedCar, worst: SpreadRun): RunOrigin => ({
  settingsName: file.file,
  settingsHash: file.hash,
  controller: "core rig",
  image: TOOL_VERSION,
  date: session.io.now().toISOString().slice(0, 10),
  car: carOrigin(named),
  conditions: worst.conditions,
});

function putPage(session: Session, path: string, page: string): void {
  writePage(session.io, path, page, PAGE_TITLE);
  session.talk(`page of all runs and of the worst: ${pathToFileURL(resolve(session.io.cwd, path)).href}`);
}

/** Runs it. Ctrl-C ends it early; what is done by then is reported and written. */
export async function spreadFile(session: Session, path: string, options: SpreadOptions): Promise<Result> {
  const { io } = session;
  if (options.out !== undefined) requireWritable(io, options.out);
  if (options.html !== undefined) requirePage(io, options.html, PAGE_TITLE);
  const file = goodFile(session, path);
  const named = await namedCar(session, options.car, file.document);
  const plan = planOf(named.driven.supply, options);
  const head = headOf(file, named, options, plan);
  const there = options.out !== undefined && existsSync(resolve(io.cwd, options.out));
  const runs = new Map((there ? runsThere(session, options.out!, head) : []).map((run) => [run.run, run]));
  const module = coreModule();
  const { bytes } = await storedFlash(module, file.block);
  const job: SpreadJob = { driven: named.driven, settings: file.document, module, flash: bytes, plan };
  const wanted = numbersOf(head.all, options.part);
  const left = wanted.filter((run) => !runs.has(run));
  const show = session.progress("spread");
  show.update(wanted.length - left.length, wanted.length);
  const missing = new Set(left);
  const done = (run: SpreadRun): void => {
    runs.set(run.run, run);
    missing.delete(run.run);
    show.update(wanted.length - missing.size, wanted.length);
  };
  await driveRuns({ job, runs: left, workers: options.workers, done, signal: io.signal });
  show.end();
  const kept = [...runs.values()].sort((a, b) => a.run - b.run);
  if (options.out !== undefined) writeOver(io, options.out, spreadText(head, kept));
  const worst = worstOf(kept);
  if (options.html !== undefined && worst) {
    const driven = { ...drivenAgain(job, worst), origin: originOf(session, file, named, worst) };
    putPage(session, options.html, spreadPage(kept, head, driven));
  }
  return spreadResult(session, { head, runs: kept }, missing.size > 0);
}

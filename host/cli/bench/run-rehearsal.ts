// A rehearsal from file to report: a controller takes the settings over its line, is armed, and makes one run with the car.
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { findings } from "#host/bench/findings.ts";
import { AS_PLANNED, type Conditions, noise, under } from "#host/bench/loop/conditions.ts";
import type { Controller } from "#host/bench/loop/controller.ts";
import type { Until } from "#host/bench/loop/drive.ts";
import { RunRandom } from "#host/bench/loop/random.ts";
import { type Run, rehearse } from "#host/bench/loop/rehearse.ts";
import { RigController } from "#host/bench/loop/rig-controller.ts";
import { GO_S, launchScript } from "#host/bench/loop/script.ts";
import { USUAL_TOLERANCE } from "#host/bench/loop/tolerance.ts";
import { EIGHTH_MILE_M, QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
import { EXIT } from "#host/errors/exit.ts";
import { Failure } from "#host/errors/failure.ts";
import { carLine, type RunOrigin } from "#host/report/rehearsal/origin.ts";
import { PAGE_TITLE, rehearsalPage } from "#host/report/rehearsal/page.ts";
import { cautionLines, rehearsalLines, runLines } from "#host/report/rehearsal/text.ts";
import { requireNew, writeNew } from "../files.ts";
import { requirePage, writePage } from "../page-file.ts";
import type { Result, Session } from "../session.ts";
import type { GoodFile } from "../settings/settings-file.ts";
import { TOOL_VERSION } from "../version.ts";
import { boardController, rigController } from "./controllers.ts";
import { carOrigin, type NamedCar, namedCar } from "./driven-car.ts";
import type { Keeper } from "./keep-run.ts";

/** Options of `headgate rehearse`; base units. */
export interface RehearseOptions {
  readonly html: string;
  readonly keep?: string | undefined;
  readonly car?: string | undefined;
  readonly board?: true | undefined;
  readonly until: "quarter" | "eighth" | number;
  readonly grip?: number | undefined;
  readonly late?: number | undefined;
  readonly bottle?: number | undefined;
  readonly flow?: number | undefined;
  readonly valves?: number | undefined;
  readonly battery?: number | undefined;
  readonly noise?: number | true | undefined;
  readonly lift?: number | undefined;
  readonly seed: number;
}

const untilOf = (until: RehearseOptions["until"]): Until =>
  typeof until === "number"
    ? { atS: GO_S + until }
    : { distanceM: until === "eighth" ? EIGHTH_MILE_M : QUARTER_MILE_M };

function conditionsOf(options: RehearseOptions, { driven }: NamedCar): Conditions {
  const { grip, late, bottle, flow, valves, battery, noise: mv } = options;
  return {
    gripShare: grip ?? AS_PLANNED.gripShare,
    lateS: late ?? AS_PLANNED.lateS,
    bottlePa: bottle === undefined ? 0 : bottle - driven.supply.bottlePa,
    flowShare: flow ?? AS_PLANNED.flowShare,
    valveShare: valves ?? AS_PLANNED.valveShare,
    batteryV: battery === undefined ? 0 : battery - driven.supply.batteryV,
    noiseMv: mv === undefined ? 0 : mv === true ? USUAL_TOLERANCE.noiseMv : mv * 1000,
  };
}

/** Keeps a run on the core rig. Fails with `usage` on the emulated board, or when the file cannot be written. */
async function keeperFor(
  controller: Controller,
  { keep, board }: RehearseOptions,
): Promise<Keeper | undefined> {
  if (keep === undefined) return undefined;
  if (board || !(controller instanceof RigController))
    throw new Failure("usage", { what: "--keep looks into the core, and cannot be used with --board" });
  const { Keeper } = await import("./keep-run.ts");
  return new Keeper(controller);
}

async function run(
  session: Session,
  file: GoodFile,
  named: NamedCar,
  conditions: Conditions,
  options: RehearseOptions,
): Promise<Run> {
  const controller = await (options.board ? boardController : rigController)(session, file);
  const keeper = await keeperFor(controller, options);
  const show = session.progress("drive");
  const done = rehearse({
    ...under(named.driven, conditions),
    controller,
    settings: file.document,
    script: launchScript(file.document, { lateS: conditions.lateS, liftS: options.lift }),
    until: untilOf(options.until),
    disturb: noise(conditions, new RunRandom(options.seed, 0)),
    onProgress: (share) => show.update(share, 1),
  });
  show.end();
  if (keeper && options.keep !== undefined) writeNew(session.io, options.keep, keeper.end(file));
  return done;
}

function originOf(
  session: Session,
  file: GoodFile,
  named: NamedCar,
  conditions: Conditions,
  { board, lift }: RehearseOptions,
): RunOrigin {
  return {
    settingsName: file.file,
    settingsHash: file.hash,
    controller: board ? "emulated board" : "core rig",
    image: TOOL_VERSION,
    date: session.io.now().toISOString().slice(0, 10),
    car: carOrigin(named),
    conditions,
    liftS: lift,
  };
}

/** What a script may want of a run, without its samples. */
function dataOf(done: Run): Record<string, unknown> {
  const { slip, spin, held, trips, said, startS, overS, endS, drawnKg } = done;
  return { slip, spin, held, trips, said, startS, overS, endS, drawnKg };
}

const ASKS_NOTHING =
  "Nothing flows in this run: every share in the settings is 0, so that no valve moves. It shows the car with its engine alone.";

/** Runs it. Exit 1 when no stage flowed although one was to, or when pins stayed high after pedal or arm switch. */
export async function rehearseFile(
  session: Session,
  file: GoodFile,
  options: RehearseOptions,
): Promise<Result> {
  requirePage(session.io, options.html, PAGE_TITLE);
  if (options.keep !== undefined) requireNew(session.io, options.keep);
  const named = await namedCar(session, options.car, file.document);
  const conditions = conditionsOf(options, named);
  const done = await run(session, file, named, conditions, options);
  const found = findings(done, file.document);
  const origin = originOf(session, file, named, conditions, options);
  const path = resolve(session.io.cwd, options.html);
  writePage(session.io, options.html, rehearsalPage(done, found, origin), PAGE_TITLE);
  const flowed = found.stages.some((flows) => flows.length > 0);
  const shut = !found.shuts.some((s) => s.stillHigh);
  return {
    exit: (flowed || found.asksNothing) && shut ? EXIT.yes : EXIT.no,
    data: {
      file: file.file,
      hash: file.hash,
      car: { ...origin.car, invented: named.demo, assumptions: named.assumptions },
      controller: origin.controller,
      conditions,
      page: path,
      ...dataOf(done),
      ...found,
    },
    lines: [
      ...session.wrapped(carLine(origin.car), ...(found.asksNothing ? [ASKS_NOTHING] : [])),
      ...runLines(done, origin, Math.min(session.width, 80)),
      ...rehearsalLines(found, options.board === true),
      ...(options.board ? [""] : []),
      ...cautionLines(session.width),
      "",
      `page with the plots: ${pathToFileURL(path).href}`,
    ],
  };
}

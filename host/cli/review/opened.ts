// A run to review: out of a run file, or pulled from the controller; with the settings and the car that belong to it.
import { existsSync } from "node:fs";
import { basename, resolve } from "node:path";
import { Failure } from "#host/errors/failure.ts";
import { runLacks } from "#host/logbook/lacks.ts";
import { originOf } from "#host/logbook/origin.ts";
import { type ReadRunFile, readRunFile, settingsCrcOf } from "#host/logbook/run-file/run-file.ts";
import { runOf } from "#host/logbook/runs.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import { makePlan } from "#host/plan/plan.ts";
import { supplyOf } from "#host/plan/run/supply.ts";
import type { Reviewed, ReviewedCar } from "#host/report/review/reviewed.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { validate } from "#shared-schema/rules/validate.ts";
import { type Document, fromBytes, unpack } from "#shared-schema/settings/pack.ts";
import { WORDS } from "#shared-schema/settings/words.ts";
import { readBytes, readText } from "../files.ts";
import { type PortOptions, withController } from "../line/connect.ts";
import { pulled, type Wanted } from "../log/pulled.ts";
import type { Session } from "../session.ts";

/** Options of everything that looks at a run. */
export interface RunOptions extends PortOptions {
  /** A car file in place of the run file's own. */
  readonly car?: string | undefined;
}

/** A run file's contents and how it is called. */
interface Named {
  readonly name: string;
  readonly file: ReadRunFile;
}

/** `last` or a number when no file has that name; undefined for a file. */
function wantedOf(session: Session, what: string): Wanted | undefined {
  if (existsSync(resolve(session.io.cwd, what))) return undefined;
  if (what === "last") return what;
  const number = Number(what);
  return Number.isInteger(number) && number > 0 ? number : undefined;
}

async function fromController(session: Session, wanted: Wanted, options: RunOptions): Promise<Named> {
  const { run, pages, facts, settings } = await withController(session, options, (connection) =>
    pulled(session, connection, wanted),
  );
  const file = { pages, facts, lacks: [], ...(settings ? { settings } : {}) };
  return { name: `run ${run.run}`, file };
}

/** The settings of the run: of this version, sound, and the very ones that its pages name; else why they are not used. */
function documentOf({ settings }: ReadRunFile, crc: number | undefined): Document | string {
  if (settings === undefined) return "the settings that were in force";
  if (settings.fingerprint !== FINGERPRINT) return "settings of this version: the run's are of another";
  if (settingsCrcOf(settings) !== crc) return "the settings that were in force: the file's are others";
  const words = fromBytes(settings.block);
  if (words.length !== WORDS.length || validate(words).length > 0)
    return "settings that pass their check: those in the file do not";
  return unpack(words);
}

/** The car of a text, planned; undefined, and a word about it, when it has no plan. */
function carOf(text: string, settings: Document): ReviewedCar | string {
  const loaded = loadCar(text);
  if (!loaded.ok) return "the car file has errors: no mass is calculated";
  try {
    const plan = makePlan(loaded.input);
    const { name, car: data } = loaded.input;
    return { name, data, supply: supplyOf(loaded.input, plan, settings), plannedKg: plan.bottle.usedKg };
  } catch (thrown) {
    return `the car file has no plan: no mass is calculated (${String(thrown)})`;
  }
}

/** The run, and everything that could be read with it. Fails with `not-a-run-file`, `no-run`, or as files and lines do. */
export async function openedRun(session: Session, what: string, options: RunOptions): Promise<Reviewed> {
  const wanted = wantedOf(session, what);
  const { name, file } =
    wanted === undefined
      ? { name: basename(what), file: readRunFile(readBytes(session.io, what)) }
      : await fromController(session, wanted, options);
  const run = runOf(file.pages);
  if (run.samples.length === 0)
    throw new Failure("empty-run", { what: `${name} holds no record that can be read` });
  const document = documentOf(file, run.settingsCrc);
  const settings = typeof document === "string" ? undefined : document;
  const text = options.car === undefined ? file.car : readText(session.io, options.car);
  const car = text === undefined || settings === undefined ? undefined : carOf(text, settings);
  return {
    name,
    run: run.run,
    samples: run.samples,
    origin: originOf(run.samples, settings),
    settings,
    settingsCrc: run.settingsCrc,
    facts: file.facts,
    note: file.note,
    car: typeof car === "string" ? undefined : car,
    lacks: [
      ...file.lacks,
      ...runLacks(run),
      ...(typeof document === "string" ? [document] : []),
      ...(typeof car === "string" ? [car] : []),
    ],
  };
}

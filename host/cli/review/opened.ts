// A run to review: out of a run file, or pulled from the controller; with the settings and the car that belong to it.
import { basename } from "node:path";
import { Failure } from "#host/errors/failure.ts";
import { runLacks } from "#host/logbook/lacks.ts";
import { originOf } from "#host/logbook/origin.ts";
import { documentOf, type Unusable } from "#host/logbook/run-file/document-of.ts";
import type { ReadRunFile } from "#host/logbook/run-file/run-file.ts";
import { runOf } from "#host/logbook/runs.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import { supplyOf } from "#host/plan/run/supply.ts";
import type { Reviewed, ReviewedCar } from "#host/report/review/reviewed.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { readText } from "../files.ts";
import { type PortOptions, withController } from "../line/connect.ts";
import { pulled, type Wanted } from "../log/pulled.ts";
import { runFileNamed, runOrFile } from "../log/run-at-hand.ts";
import { planOnce } from "../plan/plan-once.ts";
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

async function fromController(session: Session, wanted: Wanted, options: RunOptions): Promise<Named> {
  const { run, pages, facts, settings } = await withController(session, options, (connection) =>
    pulled(session, connection, wanted),
  );
  const file = { pages, facts, lacks: [], ...(settings ? { settings } : {}) };
  return { name: `run ${run.run}`, file };
}

/** What is not there, in words. */
const NO_SETTINGS: Readonly<Record<Unusable, string>> = {
  missing: "the settings that were in force",
  "other-version": "settings of this version: the run's are of another",
  "other-settings": "the settings that were in force: the file's are others",
  unsound: "settings that pass their check: those in the file do not",
};

/** The car of a text, planned; undefined, and a word about it, when it has no plan. */
function carOf(text: string, settings: Document): ReviewedCar | string {
  const loaded = loadCar(text);
  if (!loaded.ok) return "the car file has errors: no mass is calculated";
  try {
    const plan = planOnce(loaded.input);
    const { name, car: data } = loaded.input;
    return { name, data, supply: supplyOf(loaded.input, plan, settings), plannedKg: plan.bottle.usedKg };
  } catch (thrown) {
    return `the car file has no plan: no mass is calculated (${String(thrown)})`;
  }
}

/** The run, and everything that could be read with it. Fails with `not-a-run-file`, `no-run`, or as files and lines do. */
export async function openedRun(session: Session, what: string, options: RunOptions): Promise<Reviewed> {
  const which = runOrFile(session.io, what);
  const { name, file } =
    typeof which === "object"
      ? { name: basename(what), file: runFileNamed(session.io, what) }
      : await fromController(session, which, options);
  const run = runOf(file.pages);
  if (run.samples.length === 0)
    throw new Failure("empty-run", { what: `${name} holds no record that can be read` });
  const document = documentOf(file.settings, run.settingsCrc);
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
      ...(typeof document === "string" ? [NO_SETTINGS[document]] : []),
      ...(typeof car === "string" ? [car] : []),
    ],
  };
}

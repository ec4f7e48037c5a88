// `headgate plan CAR.yaml`: from a car and a goal to stages, jets and ramps.
import { Failure } from "#host/errors/failure.ts";
import type { Acknowledged, PlanInput } from "#host/plan/input/plan-input.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import type { Change } from "#host/settings/diff.ts";
import type { AddCommand } from "../command.ts";
import { withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";
import { addCalibrate } from "./calibrate.ts";
import { plannedCar } from "./car-file.ts";
import type { Written } from "./settings-output.ts";

interface PlanOptions {
  readonly settings?: string | undefined;
  readonly html?: string | undefined;
  readonly sheet?: string | undefined;
  readonly proveRamp?: true | undefined;
}

const changeLine = ({ field, before, after }: Change): string =>
  `  ${field}: ${before ?? "-"} -> ${after ?? "-"}`;

function writtenLines({ file, isNew, changes, kept }: Written): string[] {
  if (isNew)
    return [`wrote ${file}`, `Go through every line before you load it, then: headgate check ${file}`];
  const written = (value: unknown) => (value === undefined ? "no value" : JSON.stringify(value));
  const yours = kept.map(
    (k) => `  ${k.path.join(".")}: kept ${written(k.kept)}, the plan has ${written(k.planned)}`,
  );
  return [
    changes.length === 0 ? `${file}: nothing changes` : `${file}: changed`,
    ...changes.map(changeLine),
    ...(yours.length === 0 ? [] : ["your edits were kept:", ...yours]),
  ];
}

/** The reasons that this plan needed, by name. */
const answeredFor = ({ cautions }: SystemPlan, reasons: Acknowledged): Record<string, string> =>
  Object.fromEntries(
    Object.entries(reasons).filter(([name]) =>
      cautions.some((c) => c.level === "acknowledged" && c.name === name),
    ),
  );

/** The pages that were asked for. */
async function writePages(session: Session, { html, sheet }: PlanOptions, made: SystemPlan): Promise<void> {
  const { writePage } = await import("../page-file.ts");
  if (html !== undefined) {
    const { planPage, PAGE_TITLE } = await import("#host/report/plan/page.ts");
    writePage(session.io, html, planPage(made), PAGE_TITLE);
    session.talk(`wrote ${html}`);
  }
  if (sheet !== undefined) {
    const { buildSheet, SHEET_TITLE } = await import("#host/report/plan/build-sheet.ts");
    writePage(session.io, sheet, buildSheet(made), SHEET_TITLE);
    session.talk(`wrote ${sheet}`);
  }
}

/** The plan with what the control core says of its ramps. */
async function proven(session: Session, input: PlanInput, planned: SystemPlan): Promise<SystemPlan> {
  const { proveRamp } = await import("./prove-ramp.ts");
  session.talk("the ramps of each axis on the control core: less grip, later starts, then a spread");
  const { plan: found } = await proveRamp(input, planned, { signal: session.io.signal });
  if (found.axis !== planned.axis)
    session.talk(`the core chose ramps over another axis than the plan's own runs: ${found.axis}`);
  return found;
}

async function plan(session: Session, file: string, options: PlanOptions): Promise<Result> {
  const { requireOutputs } = await import("../files.ts");
  requireOutputs(session.io, [options.settings, options.html, options.sheet]);
  const { input, plan: planned } = await plannedCar(session, file);
  const made = options.proveRamp ? await proven(session, input, planned) : planned;
  const { planText } = await import("#host/report/plan/text.ts");
  const lines = planText(made, Math.min(session.width, 100), session.paint).split("\n");
  const stopped = made.cautions.some((c) => c.level === "stop");
  await writePages(session, options, made);
  if (options.settings === undefined) return { data: { plan: made }, lines };
  if (stopped) {
    if (!session.json) session.io.stdout.write(`${lines.join("\n")}\n`);
    throw new Failure("past-limits", {
      what: `${options.settings} was not written: the plan has a STOP`,
      data: { plan: made },
    });
  }
  const { settingsOf } = await import("#host/plan/settings-document.ts");
  const { writePlanned } = await import("./settings-output.ts");
  const reasons = answeredFor(made, input.acknowledged);
  const written = writePlanned(session.io, options.settings, settingsOf(input, made), made.name, reasons);
  const { wrap } = await import("#host/report/terminal/wrap.ts");
  for (const line of writtenLines(written))
    for (const part of wrap(line, session.width, 4)) session.talk(part);
  return { data: { plan: made, settings: written }, lines };
}

export const addPlan: AddCommand = (program, act) => {
  const command = withCommon(program.command("plan"))
    .argument("<car>", "car file")
    .option("--settings <file>", "write a settings file, or merge into the one that an earlier plan wrote")
    .option("--html <file>", "write the plan as a page with plots")
    .option(
      "--sheet <file>",
      "write the build sheet: one printed page with jets, bench tests, wires and a checklist",
    )
    .option(
      "--prove-ramp",
      "drive the ramps of each axis on the control core: how far they hold, and the median of 50 runs",
    )
    .description("plan a system from a car, its limits and a goal")
    .action(act(plan));
  addCalibrate(command, act);
};

// A car file given on the command line: read, checked, and refused as a whole when anything is wrong in it; and its plan.
import { Failure } from "#host/errors/failure.ts";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import type { Session } from "../session.ts";
import { compileSparingly } from "./compile-sparingly.ts";

/** The file with every gap filled. Fails with `bad-car` after talking about every error. */
export async function loadedCar(session: Session, file: string): Promise<PlanInput> {
  const { readText } = await import("../files.ts");
  const { requireKind } = await import("../file-kind.ts");
  requireKind(session.io, file, "car");
  const { loadCar } = await import("#host/plan/input/resolve.ts");
  const loaded = loadCar(readText(session.io, file));
  if (loaded.ok) return loaded.input;
  const { carErrorLines } = await import("#host/report/plan/errors.ts");
  const { errors } = loaded;
  if (!session.json) for (const line of carErrorLines(file, errors, session.width)) session.talk(line);
  const what = `${file} has ${errors.length} error${errors.length === 1 ? "" : "s"}; nothing was written`;
  throw new Failure("bad-car", { what, data: { file, errors } });
}

/** The file and its plan. Fails with `goal-unreachable` or `bad-car` too. */
export async function plannedCar(
  session: Session,
  file: string,
): Promise<{ readonly input: PlanInput; readonly plan: SystemPlan }> {
  const input = await loadedCar(session, file);
  return { input, plan: await planOf(input) };
}

/** The plan of a car. Fails with `goal-unreachable` or `bad-car`. */
export async function planOf(input: PlanInput): Promise<SystemPlan> {
  compileSparingly();
  const { planOnce } = await import("./plan-once.ts");
  const { GoalUnreachable } = await import("#host/plan/run/goal.ts");
  const { ChainTooNarrow } = await import("#host/plan/nitrous/sizing.ts");
  try {
    return planOnce(input);
  } catch (thrown) {
    if (thrown instanceof GoalUnreachable) throw new Failure("goal-unreachable", { what: thrown.message });
    if (thrown instanceof ChainTooNarrow) {
      const todo = "enlarge nitrous.valve-bore, line-bore or solenoid-bore, or leave them out";
      throw new Failure("bad-car", { what: thrown.message, todo });
    }
    throw thrown;
  }
}

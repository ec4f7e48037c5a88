// A plan for the terminal: each section fits a screen of 80 columns, and nothing hangs on colour.
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { tableLines } from "../terminal/table.ts";
import type { Paint } from "../terminal/terminal.ts";
import { wrap } from "../terminal/wrap.ts";
import { acknowledgedLines } from "./advice.ts";
import type { PlanSection } from "./section.ts";
import { planSections } from "./sections.ts";

/** Lines of one section: its heading underlined, paragraphs wrapped, tables in columns. */
export function sectionLines(section: PlanSection, width: number, paint: Paint): string[] {
  const body = section.parts.flatMap((part) => {
    if (typeof part !== "string") return tableLines(part.head, part.rows, width);
    return wrap(part, width, /^(?:-|\d+\.) /u.exec(part)?.[0].length ?? 0);
  });
  const heading = wrap(section.heading, width);
  const rule = "=".repeat(Math.max(...heading.map((line) => line.length)));
  return [...heading.map(paint.strong), rule, ...body];
}

/** The whole plan: what somebody answers for, then the first screen under the plan's name, then the rest. */
export function planText(plan: SystemPlan, width: number, paint: Paint): string {
  const top = acknowledgedLines(plan).flatMap((line) => wrap(line, width));
  const [first, ...rest] = planSections(plan);
  const named = { ...first!, heading: `Plan for ${plan.name}` };
  const sections = [named, ...rest].map((section) => sectionLines(section, width, paint).join("\n"));
  return [...(top.length > 0 ? [top.join("\n")] : []), ...sections].join("\n\n");
}

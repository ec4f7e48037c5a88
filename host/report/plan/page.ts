// A plan as one HTML page: the sections of the terminal report, with plots.
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { toUnit } from "#host/units/format.ts";
import type { Chart } from "../chart/chart.ts";
import { escapeHtml, htmlTable } from "../html.ts";
import { htmlPage, resultHtml, type Section } from "../page.ts";
import { acknowledgedLines } from "./advice.ts";
import { planCharts } from "./charts.ts";
import type { PlanSection } from "./section.ts";
import { planSections } from "./sections.ts";

/** Sections whose list of sentences is shown as a list. */
const LISTS = /^(- |\d+\. )/u;

function partsHtml(section: PlanSection): string {
  const html = section.parts.map((part) => {
    if (typeof part !== "string") return htmlTable(part.head, part.rows, part.numeric);
    return LISTS.test(part)
      ? `<li>${escapeHtml(part.replace(LISTS, ""))}</li>`
      : `<p>${escapeHtml(part)}</p>`;
  });
  const joined = html.join("");
  return joined.replace(/(<li>.*<\/li>)/su, section.id === "installation" ? "<ol>$1</ol>" : "<ul>$1</ul>");
}

const ASSUMED = /^assumed-/u;

/** On a page the values that were assumed are one list: it is a screen that has no room for all of them. */
function withOneListOfAssumptions(sections: readonly PlanSection[]): PlanSection[] {
  const [first, ...more] = sections.filter(({ id }) => ASSUMED.test(id));
  const others = sections.filter(({ id }) => !ASSUMED.test(id));
  if (first === undefined) return others;
  return [
    ...others,
    {
      ...first,
      heading: "Assumptions",
      parts: [...first.parts, ...more.flatMap(({ parts }) => parts.slice(1))],
    },
  ];
}

function pageSection(section: PlanSection, charts: readonly Chart[]): Section {
  const html = partsHtml(section);
  const boxed = ["cautions", "safety"].includes(section.id) ? `<div class="caution">${html}</div>` : html;
  return { heading: section.heading, html: boxed, charts };
}

/** What the title of a plan's page begins with. */
export const PAGE_TITLE = "Plan for ";

/** What the plan comes to, in large words; a plan that must not be built says so first. */
function resultOf(plan: SystemPlan): string {
  const hp = toUnit(plan.added.powerW, "hp").toFixed(0);
  const stages = plan.stages.length === 1 ? "one stage" : `${plan.stages.length} stages`;
  const { planned, without } = plan.runs;
  const stops = plan.cautions.filter(({ level }) => level === "stop").map(({ name }) => name);
  return resultHtml(
    ...(stops.length > 0 ? [`STOP: do not build this (${stops.join(", ")}).`] : []),
    `${hp} hp of nitrous, ${plan.kind}, ${stages}.`,
    `${planned.quarterS.toFixed(2)} s over the quarter mile; ${without.quarterS.toFixed(2)} s without nitrous.`,
  );
}

/** The page; opens from disk without a network. */
export function planPage(plan: SystemPlan): string {
  const charts = planCharts(plan);
  const sections = withOneListOfAssumptions(planSections(plan)).map((section) =>
    pageSection(section, charts[section.id] ?? []),
  );
  const basis =
    "<p>Every number is calculated from the car file and from the assumptions that stand at the end.</p>";
  const answered = acknowledgedLines(plan).map((text) => `<p class="caution">${escapeHtml(text)}</p>`);
  return htmlPage(`${PAGE_TITLE}${plan.name}`, `${answered.join("")}${resultOf(plan)}${basis}`, sections);
}

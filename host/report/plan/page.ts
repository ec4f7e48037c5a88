// A plan as one HTML page: the sections of the terminal report, with plots.
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { toUnit } from "#host/units/format.ts";
import { escapeHtml, htmlPage, htmlTable, type Plot, type Section } from "../page.ts";
import { acknowledgedLines } from "./advice.ts";
import { planPlots } from "./plots.ts";
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

function pageSection(section: PlanSection, plots: readonly Plot[]): Section {
  const html = partsHtml(section);
  const boxed = ["cautions", "safety"].includes(section.id) ? `<div class="caution">${html}</div>` : html;
  return { heading: section.heading, html: boxed, plots };
}

/** What the title of a plan's page begins with. */
export const PAGE_TITLE = "Plan for ";

/** The page; opens from disk without a network. */
export function planPage(plan: SystemPlan): string {
  const plots = planPlots(plan);
  const sections = planSections(plan).map((section) => pageSection(section, plots[section.id] ?? []));
  const hp = toUnit(plan.added.wantedW, "hp").toFixed(0);
  const intro = `<p>${escapeHtml(`${hp} hp of nitrous, ${plan.kind}, ${plan.stages.length} ${plan.stages.length === 1 ? "stage" : "stages"}. Every number is calculated from the car file and the assumptions listed at the end.`)}</p>`;
  const answered = acknowledgedLines(plan).map((text) => `<p class="caution">${escapeHtml(text)}</p>`);
  return htmlPage(`${PAGE_TITLE}${plan.name}`, `${answered.join("")}${intro}`, sections);
}

// A rehearsal as one HTML page: what it came to, the whole run over one axis, then its numbers.
import type { Findings } from "#host/bench/findings.ts";
import type { Run } from "#host/bench/loop/rehearse.ts";
import { GO_S } from "#host/bench/loop/script.ts";
import { escapeHtml, htmlTable, paragraphs } from "../html.ts";
import { CAUTIONS, htmlPage, resultHtml, type Section } from "../page.ts";
import { runChart } from "./chart.ts";
import { carLine, conditionWords, type RunOrigin } from "./origin.ts";
import { heldRows, slipRows, spinLine, supplyLines, tripLines } from "./slip.ts";

function flowTable(found: Findings): string {
  const rows = found.stages.flatMap((flows, s) =>
    flows.map((f) => {
      const full = f.points.find((p) => p.share >= 0.999);
      return [String(s + 1), f.fromS.toFixed(3), f.toS.toFixed(3), full ? full.s.toFixed(2) : "not reached"];
    }),
  );
  return htmlTable(["stage", "opened, s", "shut, s", "full flow from, s"], rows, [0, 1, 2, 3]);
}

function shutTable(found: Findings): string {
  const rows = found.shuts.map((s) => [
    s.words,
    s.atS.toFixed(2),
    s.stillHigh ? "STILL HIGH" : (s.pinsUs?.toFixed(1) ?? "nothing was flowing"),
    s.relayMs?.toFixed(1) ?? "-",
  ]);
  return htmlTable(
    ["what the driver did", "at, s", "all pins low after, us", "relay open after, ms"],
    rows,
    [1, 2, 3],
  );
}

function heldHtml(run: Run): string {
  const rows = heldRows(run);
  const table =
    rows.length === 0
      ? "<p>Nothing held flow off between the launch switch and the end.</p>"
      : htmlTable(["interlock", "for", "times", "first at", "because"], rows, [1, 2, 3]);
  return table + paragraphs(tripLines(run));
}

/** The time, the speed and what tripped: a reader's first question. */
function resultOf(run: Run, found: Findings): string {
  const [mark, time, speed] = slipRows(run).findLast(([, at]) => at !== "not reached") ?? [];
  const arrived = mark === undefined ? "The car reached no mark" : `${mark} in ${time} at ${speed}`;
  const flowed = found.stages.some((flows) => flows.length > 0);
  const nothing = found.asksNothing ? "Nothing flowed, as every share is 0. " : "Nothing flowed. ";
  const high = found.shuts.some(({ stillHigh }) => stillHigh);
  const trips = run.trips.length === 0 ? "Nothing tripped." : `Tripped: ${run.trips.join(", ")}.`;
  return resultHtml(
    ...(high ? ["A PIN STAYED HIGH: do not use this."] : []),
    `${arrived}.`,
    `${flowed ? "" : nothing}${trips}`,
  );
}

function originHtml(origin: RunOrigin): string {
  const { car, settingsName, settingsHash, controller, image, date } = origin;
  const on =
    controller === "emulated board"
      ? `the emulated board, released image ${image}`
      : `the core rig, the control core of image ${image}`;
  return `<p><b>${escapeHtml(carLine(car))}</b></p><p>Settings <b>${escapeHtml(settingsName)}</b> (${settingsHash}) on ${escapeHtml(on)}, ${escapeHtml(date)}. Run ${escapeHtml(conditionWords(origin))}; the launch switch says go at ${GO_S.toFixed(2)} s, and the time slip counts from the first movement. The car is calculated and so is the driver; shares were measured at the controller's pins.</p>`;
}

/** The sections that any run has, whatever stands before them. */
export function runSections(run: Run, found: Findings, { controller }: RunOrigin): Section[] {
  const shuts: Section[] =
    controller === "emulated board" ? [{ heading: "How fast everything shut", html: shutTable(found) }] : [];
  return [
    {
      heading: "Time slip",
      html: `${htmlTable(["mark", "time", "speed", ""], slipRows(run), [1, 2, 3])}<p>${escapeHtml(`Driven wheels: ${spinLine(run)}.`)}</p>`,
    },
    { heading: "The run", charts: [runChart(run, found)] },
    { heading: "What held off or tripped", html: heldHtml(run) },
    { heading: "When each stage flowed", html: flowTable(found) },
    { heading: "Supply", html: paragraphs(supplyLines(run)) },
    ...shuts,
    CAUTIONS,
  ];
}

/** What stands first on a run's page: what it came to, and whose it is. */
export const runIntro = (run: Run, found: Findings, origin: RunOrigin): string =>
  resultOf(run, found) + originHtml(origin);

/** How the titles of these pages begin. */
export const PAGE_TITLE = "Headgate: launch rehearsal";

/** The whole page. */
export const rehearsalPage = (run: Run, found: Findings, origin: RunOrigin): string =>
  htmlPage(PAGE_TITLE, runIntro(run, found, origin), runSections(run, found, origin));

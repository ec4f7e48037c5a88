// The build sheet of a plan: one printed page to take to the car, with boxes to tick; no script, no network.
import { fuelSwitchText } from "#host/plan/accessories.ts";
import type { Switched } from "#host/plan/input/plan-input.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { toUnit } from "#host/units/format.ts";
import { USUAL_KICK_MV } from "#shared-schema/settings/settings.ts";
import { escapeHtml, htmlTable } from "../html.ts";
import { pageHead } from "../page.ts";
import { acknowledgedLines } from "./advice.ts";
import { benchTests } from "./bench-tests.ts";
import { stageTable } from "./first-screen.ts";
import { ladderTable } from "./ladder.ts";
import { gauge, power } from "./section.ts";
import {
  contacts,
  fuseOf,
  outputContacts,
  pulseContacts,
  relayOf,
  sensorContacts,
  switchContacts,
  valveContacts,
} from "./wires.ts";

/** Marks a page that a plan wrote as its build sheet. */
export const SHEET_TITLE = "Build sheet for ";

/** On paper it is one sheet of A4; on a screen it looks like every page. */
const SHEET = `
  h1 { font-size: 1.5rem; } td { overflow-wrap: normal; } .box::before { content: "\\2610"; margin-right: 5px; } .stop { border: 2px solid; padding: 1px 5px; font-weight: bold; }
  @media print {
    @page { size: A4; margin: 9mm; }
    body { font-size: 11.5px; line-height: 1.3; max-width: 192mm; } h1 { font-size: 16px; margin: 0; } h2 { font-size: 13px; margin: 7px 0 1px; border-bottom-width: 1.5px; }
    p { margin: 1px 0; max-width: none; } table { width: 100%; margin: 0; } th, td { padding: 0 8px 0 0; } .two { columns: 2; column-gap: 6mm; } .two table { break-inside: auto; } .two tr { break-inside: avoid; }
  }
`;

/** From battery and key to the valves: relays and fuses, by their names in the circuit. */
function supplyLine({ stages }: SystemPlan): string {
  const fuses = stages.map((_, i) => fuseOf(`stage${i + 1}`)).join(", ");
  const relays = `${relayOf("polarity relay")} and ${relayOf("master relay")}`;
  return `Feed by the key behind ${fuseOf("key.fused")} of the car: ${contacts("key", 0)}. Battery by ${fuseOf("main.fused")}, relays ${relays}: ${contacts("drv", 0)}. Fuses: controller ${fuseOf("controller")}, stages ${fuses}.`;
}

/** Three stages and more have longer tables: smaller letters keep them on the sheet. */
const SMALLER = "@media print { body { font-size: 10.2px; line-height: 1.2; } }";
const styleFor = ({ stages }: SystemPlan): string => (stages.length > 2 ? SHEET + SMALLER : SHEET);

/** What the controller switches beside the stages: its output and the switch that asks for it. */
const SWITCHED_ROWS: Readonly<Record<Switched, string[][]>> = {
  purge: [
    ["purge valve", valveContacts("purge")],
    ["purge button", switchContacts("purgeSwitch")],
  ],
  heater: [
    ["heater relay, behind the heater's own limit", valveContacts("heater")],
    ["heater switch", switchContacts("heaterSwitch")],
  ],
  bottleValve: [
    ["remote bottle valve", valveContacts("bottleValve")],
    ["bottle valve switch", switchContacts("bottleValveSwitch")],
  ],
};

/** Outputs and wires that this plan uses. */
function wireRows(plan: SystemPlan): string[][] {
  const stages = plan.stages.flatMap((stage, i) => [
    [`stage ${i + 1}, nitrous valve`, valveContacts(`nitrous${i + 1}`)],
    ...(stage.fuelJetM === undefined ? [] : [[`stage ${i + 1}, fuel valve`, valveContacts(`fuel${i + 1}`)]]),
  ]);
  const { pulsesPerRev } = plan.base;
  return [
    ...stages,
    [
      plan.kind === "wet" ? "arm and fuel-pressure switch in series" : "arm switch, guarded",
      switchContacts("arm"),
    ],
    ["full-throttle switch", switchContacts("throttle")],
    ...(plan.axis === "launch" ? [["launch switch", switchContacts("launch")]] : []),
    [`engine speed, ${pulsesPerRev ?? "?"} pulses/rev`, pulseContacts("engine")],
    ...(needsRoad(plan) ? [["road speed", pulseContacts("road")]] : []),
    ...(plan.spool === undefined
      ? []
      : [["manifold pressure sensor (supply, signal, ground)", sensorContacts("manifold")]]),
    ...(plan.bottleWindow.watched
      ? [["bottle pressure sensor (supply, signal, ground)", sensorContacts("bottle")]]
      : []),
    ...(plan.kind === "dry" ? [["enrichment from the engine computer", switchContacts("enrichSwitch")]] : []),
    ...plan.accessories.onController.flatMap((one) => SWITCHED_ROWS[one]),
    ["retard request", outputContacts("retard")],
  ];
}

const needsRoad = ({ axis, stages }: SystemPlan): boolean =>
  axis === "road-speed" || stages.some(({ offMS }) => offMS !== undefined);

/** Values at which something switches. */
function switchPoints(plan: SystemPlan): string[][] {
  const { window, bottleWindow, airPa, base, accessories } = plan;
  const { heater, purge, fuelSwitchPa } = accessories;
  return [
    [
      "window opens, closes",
      `${window.openRpm}, ${window.closeRpm} rpm (hysteresis ${window.hysteresisRpm})`,
    ],
    ...plan.stages.flatMap(({ openRpm }, i) =>
      openRpm > window.openRpm ? [[`stage ${i + 1} opens`, `${openRpm} rpm`]] : [],
    ),
    ...plan.stages.flatMap(({ offMS, offPa }, i) => [
      ...(offMS === undefined
        ? []
        : [[`stage ${i + 1} off above`, `${toUnit(offMS, "km/h").toFixed(0)} km/h`]]),
      ...(offPa === undefined
        ? []
        : [[`stage ${i + 1} off above`, `${toUnit(offPa - airPa, "psi").toFixed(0)} psi of boost`]]),
    ]),
    ["rev limiter", `${base.limiterRpm} rpm`],
    [
      "bottle, no flow below; trips above",
      `${gauge(bottleWindow.lowestPa, airPa)}; ${gauge(bottleWindow.highestPa, airPa)}`,
    ],
    ["heater on below, off at", `${gauge(heater.onPa, airPa)}, ${gauge(heater.offPa, airPa)}`],
    ["purge, one press", `${purge.pressS.toFixed(1)} s`],
    ...(plan.kind === "wet"
      ? [["fuel-pressure switch opens below", fuelSwitchText(fuelSwitchPa, plan.kinds.boostPa)]]
      : []),
    [
      "a coil's kick at switching off, above",
      `${(USUAL_KICK_MV / 1000).toFixed(1)} V; lamps for coils: load settings without clamps`,
    ],
    ["retard at full flow", `${plan.retardDeg.toFixed(1)} degrees`],
    [
      "added power, all stages",
      `${power(plan.added.powerW)}; bottle at ${gauge(plan.bottle.startPa, airPa)}`,
    ],
  ];
}

const boxes = (lines: readonly string[]): string =>
  lines.map((line) => `<p class="box">${escapeHtml(line)}</p>`).join("");

const section = (heading: string, html: string): string => `<h2>${escapeHtml(heading)}</h2>${html}`;

function warnings(plan: SystemPlan): string {
  const stops = plan.cautions
    .filter(({ level }) => level === "stop")
    .map(({ name, short }) => `STOP ${name}: ${short}. Do not build this.`);
  return [...acknowledgedLines(plan), ...stops]
    .map((text) => `<p class="stop">${escapeHtml(text)}</p>`)
    .join("");
}

/** The page. */
export function buildSheet(plan: SystemPlan): string {
  const jets = stageTable(plan);
  const ladder = ladderTable(plan);
  const climbed = ladder.rows.map((row) => [...row, ...Array.from({ length: 3 }, () => "\u2610")]);
  const bores = plan.sizing.bores;
  const mm = (metres: number) => `${toUnit(metres, "mm").toFixed(1)} mm`;
  const plumbing = `${plan.kind}, ${plan.layout}, ${plan.fuelName}. Least bores: bottle valve ${mm(bores.valveM)}, line ${mm(bores.lineM)}, solenoids ${bores.solenoidM.map(mm).join(", ")}.`;
  const title = `${SHEET_TITLE}${plan.name}`;
  return [
    `${pageHead(title, styleFor(plan))}<main>`,
    `<h1>${escapeHtml(title)}</h1>${warnings(plan)}`,
    section("Jets", `<p>${escapeHtml(plumbing)}</p>${htmlTable(jets.head, jets.rows, jets.numeric)}`),
    section("Bench tests, before any run", htmlTable(["test", "expect", "read"], benchTests(plan))),
    section("Switch points", `<div class="two">${htmlTable(["what", "set to"], switchPoints(plan))}</div>`),
    section(
      "Outputs and wires (hardware-notes/wiring.md)",
      `<p>${escapeHtml(supplyLine(plan))}</p><div class="two">${htmlTable(["what", "contacts"], wireRows(plan))}</div>`,
    ),
    section(
      "Ladder: plugs, log and mixture after each step; up only when all are as expected",
      htmlTable([...ladder.head, "plugs", "log", "mixture"], climbed, ladder.numeric),
    ),
    section("Checklist", boxes(plan.checklist)),
    `<p>${escapeHtml("Part makers, the local code and a licensed practitioner take precedence over this sheet. When in doubt: off.")}</p></main></body></html>\n`,
  ].join("\n");
}

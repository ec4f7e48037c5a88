// The page of a practice board: what the controller says in large words, lamps, live plots, and hands to move. All of it is inline.
import { BY_CAR, DRIVERS, VERBS, WIRES } from "#host/bench/practice/verbs.ts";
import { wireWords } from "#host/bench/practice/wires.ts";
import { escapeHtml } from "#host/report/html.ts";
import { STYLE } from "#host/report/style.ts";
import { SCRIPT } from "./page-script.ts";
import { PRACTICE_STYLE } from "./page-style.ts";

/** A slider: name of its verb, label, ends, step, where it begins, and the unit that goes with its number. */
const SLIDERS = [
  ["engine", "engine speed", 0, 9000, 50, 5000, "rpm"],
  ["road", "road speed", 0, 250, 1, 80, "km/h"],
  ["manifold", "manifold pressure", 20, 300, 1, 95, "kPa absolute"],
  ["bottle", "bottle pressure", 0, 9600, 25, 6550, "kPa gauge"],
  ["fuel", "fuel pressure", 0, 1000, 5, 400, "kPa gauge"],
  ["mixture", "mixture, lambda", 0.6, 1.5, 0.01, 0.82, ""],
  ["coolant", "coolant sensor", 0, 5, 0.05, 2, "V"],
  ["battery", "battery", 0, 16, 0.1, 13.5, "V"],
] as const;

const meaning = (name: string): string => VERBS.find((verb) => verb.name === name)!.meaning;

function switches(): string {
  return VERBS.filter(({ kind }) => kind === "switch")
    .map(
      ({ name, meaning: text }) =>
        `<label class="row"><input type="checkbox" role="switch" data-switch="${name}"> <span><b>${name}</b> ${escapeHtml(text)}</span></label>`,
    )
    .join("");
}

function sliders(): string {
  return SLIDERS.map(([name, label, least, most, step, start, unit]) => {
    const range = `<input id="value-${name}" type="range" data-value="${name}" data-unit="${unit}" min="${least}" max="${most}" step="${step}" value="${start}">`;
    const hand = `<label class="row"><input type="checkbox" data-hold="${name}"> by hand</label>`;
    return `<div class="value"><label for="value-${name}">${label}</label>${range}<output for="value-${name}" data-text="${name}"></output>${hand}</div>`;
  }).join("");
}

const options = (words: readonly string[]): string =>
  words.map((word) => `<option>${word}</option>`).join("");

function picker(verb: string, label: string, things: readonly string[], words: readonly string[]): string {
  const thing =
    things.length === 0 ? "" : `<select data-thing aria-label="which ${label}">${options(things)}</select>`;
  return `<p class="row" data-fault="${verb}"><b>${label}</b>${thing}<select data-word aria-label="state of the ${label}">${options(words)}</select><button type="button">set</button></p>`;
}

const FAULT_WORDS = (verb: string): readonly string[] => VERBS.find(({ name }) => name === verb)!.words!;

function faults(): string {
  return [
    picker("wire", "sensor wire", WIRES.sensor, wireWords(WIRES.sensor[0])),
    picker("wire", "switch wire", WIRES.switch, wireWords(WIRES.switch[0])),
    picker("wire", "pulse wire", WIRES.sender, wireWords(WIRES.sender[0])),
    picker("driver", "driver", DRIVERS, FAULT_WORDS("driver")),
    picker("relay", "master relay", [], FAULT_WORDS("relay")),
  ].join("");
}

const button = (words: string, label: string): string =>
  `<button type="button" data-act="${words}" title="${escapeHtml(meaning(words.split(" ")[0]!))}">${label}</button>`;

const BODY = `
<main>
<h1>Practice board</h1>
<p>Nothing here is real: an emulated board with the released image, and a calculated car.</p>
<section aria-label="what the controller does" class="verdict">
<p id="headline" class="result" role="status">waiting for the board</p>
<p id="todo"></p>
<p id="held-by"></p>
<dl id="reasons" tabindex="0" aria-label="why nothing flows"></dl>
</section>
<p id="told" role="alert"></p>
<section><h2>Lamps</h2><ul id="lamps"></ul></section>
<section><h2>The last 20 seconds</h2>
<div id="legend" aria-hidden="true"></div>
<svg id="shares" viewBox="0 0 600 140" role="img" aria-label="share of each stage over the last 20 seconds"></svg>
<h3>What held flow off</h3>
<div id="held" tabindex="0" role="group" aria-label="reasons over the last 20 seconds"></div>
</section>
<div class="columns">
<section><h2>Hands</h2>
${switches()}
<div class="value"><label for="pedal">pedal</label><input id="pedal" type="range" min="0" max="100" value="0"><output for="pedal" id="pedal-text">0 %</output></div>
<p class="row">${button("run 4s", "drive a launch")}${button("line", "back to the line")}</p>
</section>
<section><h2>Board and cable</h2>
<p class="row">${button("power off", "power off")}${button("power on", "power on")}${button("reset", "reset button")}</p>
<p class="row">${button("cable out", "pull the cable")}${button("cable in", "plug it in")}</p>
<p id="state"></p>
</section>
<section><h2>Values at the connectors</h2>${sliders()}</section>
<section><h2>Damage</h2>${faults()}<p class="row">${button("mend", "mend everything")}</p><ul id="damage"></ul></section>
</div>
</main>`;

/** The whole page; only scripts and styles with the nonce run. */
export function practicePage(nonce: string): string {
  return [
    `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">`,
    `<link rel="icon" href="data:,"><title>Practice board</title><style nonce="${nonce}">${STYLE}${PRACTICE_STYLE}</style></head><body>`,
    BODY,
    `<script nonce="${nonce}">const BY_CAR = ${JSON.stringify(BY_CAR)};${SCRIPT}</script></body></html>\n`,
  ].join("");
}

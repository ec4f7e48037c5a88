// The moment of a practice board as lines for a screen: the controller's word first, then hands, values, damage and lamps.
import { labelled } from "#host/report/terminal/wrap.ts";
import type { Look } from "./look.ts";

function boardText({ power, bootVolume, said }: Look): string {
  if (!power) return "no power";
  if (bootVolume !== null) return `in its boot mode; its volume is ${bootVolume}`;
  return said?.headline ?? "starting";
}

const names = (all: Readonly<Record<string, boolean>>): string =>
  Object.keys(all)
    .filter((name) => all[name])
    .join(", ") || "none";

function reasonText({ said }: Look): string {
  return said?.reasons.map(({ id }) => id).join(", ") || "nothing";
}

function valueText({ values }: Look): string {
  const all = Object.entries(values).map(
    ([name, { text, held }]) => `${name} ${text}${held ? " (by hand)" : ""}`,
  );
  return all.join("; ");
}

function damageText({ damage }: Look): string {
  const all = Object.entries(damage).map(([name, word]) => `${name} ${word}`);
  return all.join("; ") || "none";
}

/** Lines of a width. */
export function lookLines(look: Look, width: number): string[] {
  const pedal = `pedal ${Math.round(look.pedal * 100)} %`;
  const rows: [string, string][] = [
    ["board", boardText(look)],
    ["held off by", reasonText(look)],
    ["cable", look.cable ? "in" : "out"],
    ["switched on", `${names(look.switches)}; ${pedal}${look.driving ? "; a launch is being driven" : ""}`],
    ["values", valueText(look)],
    ["damage", damageText(look)],
    ["lamps lit", names(look.lamps)],
  ];
  return rows.flatMap(([label, text]) => labelled(label.padEnd("switched on".length), text, width));
}

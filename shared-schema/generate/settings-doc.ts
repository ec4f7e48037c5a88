// Writes docs/settings.md: every setting and every rule of the table, each once, in the words of the table.

import { UNITS } from "../model/units.ts";
import { RULES, type Rule } from "../rules/rules.ts";
import { CAUTIONS } from "../rules/settings-cautions.ts";
import { AXIS_UNITS, ENTRIES, type Entry, keysOf, written } from "../settings/entries.ts";
import { AXES, LAYOUT_VERSION, SETTINGS } from "../settings/settings.ts";
import type { SettingNode } from "../settings/table.ts";
import { AXIS_MAX } from "../settings/words.ts";
import { capital, code, GENERATED_NOTE, item, table } from "./markdown.ts";

function takes(node: SettingNode): string {
  switch (node.kind) {
    case "number":
      return `${written(node.min, node)} to ${written(node.max, node)}`;
    case "choice":
      return node.options.map(code).join(", ");
    case "group":
      return node.optional ? "keys; may be left out" : "keys";
    default:
      return `${node.min} to ${node.max} entries`;
  }
}

function example(node: SettingNode): string {
  if (node.kind === "number") return code(written(node.example, node));
  return node.kind === "choice" ? code(node.example) : "";
}

/** What one setting takes, is and why; a sentence each, at the end of which a reason stands when there is one. */
function settingItem({ node, keys }: Entry): string {
  const shown = example(node);
  const reason = node.kind === "number" && node.reason !== "" ? ` Why: ${node.reason}.` : "";
  return item(
    `**${code(keys)}**: ${takes(node)}${shown && `, such as ${shown}`}. ${capital(node.meaning)}.${reason}`,
  );
}

function section(top: SettingNode): string {
  const first = ENTRIES.find((entry) => entry.node === top);
  if (first === undefined) throw new Error(`no entry for ${top.name}`);
  const under = ENTRIES.filter(({ keys }) => keys === first.keys || keys.startsWith(`${first.keys}.`));
  return `## ${code(first.keys)}: ${top.meaning}\n\n${under.map(settingItem).join("")}\n`;
}

function axes(): string {
  const rows = AXES.map((axis) => {
    const { written: unit, perWritten, ...more } = UNITS[AXIS_UNITS[axis]];
    const reference = "reference" in more ? ` ${more.reference}` : "";
    return [code(axis), `0 to ${AXIS_MAX / perWritten} ${unit}${reference}`];
  });
  return `## Points of a ramp\n\nEach point is a pair \`[place, share]\`, such as \`[0.4 s, 35 %]\`; the share lies from 0 to 100 %. What the place is
depends on \`over\`:\n\n${table(["`over`", "place"], rows)}\n`;
}

/** Rules or cautions, each text once, with every key that it can name. */
function joined(rules: readonly Rule[]): string {
  const rows = new Map<string, { id: string; text: string; blames: Set<string> }>();
  for (const { id, text, blame } of rules) {
    const row = rows.get(`${id} ${text}`) ?? { id, text, blames: new Set<string>() };
    rows.set(`${id} ${text}`, row);
    row.blames.add(code(keysOf(blame)));
  }
  const told = ({ id, text, blames }: { id: string; text: string; blames: Set<string> }): string =>
    item(`**${code(id)}**: ${capital(text)}. It can name ${[...blames].join(", ")}.`);
  return [...rows.values()].map(told).join("");
}

const INTRODUCTION = `# Settings

${GENERATED_NOTE}

A settings file is YAML 1.2. It begins with \`version: ${LAYOUT_VERSION}\` and, if you like, \`name\`, a short text; neither is sent
to the controller.
Every number carries its unit, and any unit of its kind may be used: \`3200 rpm\`, \`40 mph\`, \`250 ms\`. A pressure also says
\`absolute\` or \`gauge\`; a difference of pressures (\`hysteresis\`) does not. Unknown keys are errors. N stands for a place in a
list, counted from 1.

The examples are what a first file contains, not a recommendation for any engine. Limits marked "common practice, no source" are
what the trade does, not physics. The instructions of the makers of your parts come first.

`;

const OLDER_VERSIONS = `
## Files and controllers of an older version

Every command that reads a file of an older version migrates it; the file itself stays as it is. Each change is reported
with its field. A value that is no longer allowed is refused at its line and column: it is never moved to a new limit, and
no migration allows more flow without saying so.

\`load\` and \`read\` refuse a controller whose image is of another version. \`headgate flash\` takes care of both:

1. It copies the settings first, as a settings file of the version that the controller has, into the folder that
   \`headgate history\` names.
2. It flashes the image, and asks the controller which image it runs.
3. It migrates the copy, reports each change, and loads it after a question (with \`--yes\` without one). What it cannot load
   it names, with the command that loads it later. Until then no settings are in force, and nothing flows.

A controller that was given its image by hand (BOOTSEL and a copy) keeps its settings but will not use them:
\`headgate status\` says so, and the interlock SETTINGS keeps everything off. \`headgate undo\` migrates and loads the newest
copy of that board; \`headgate load FILE\` loads any file. Boards without a number share their copies, so \`undo\` asks there.
Settings of which there is no copy can be read only with the image that they belong to: flash that image again, and they are
in force again as long as nothing newer has been loaded.
`;

/** The whole page. */
export function settingsDoc(): string {
  return [
    INTRODUCTION,
    ...SETTINGS.fields.map(section),
    axes(),
    "## Rules that join settings\n\nHost and controller check the same rules from the same table; a file that breaks one is not loaded.\n\n",
    joined(RULES),
    "\n## Cautions\n\nLegal but unwise; never a reason to refuse. All are common practice, no source.\n\n",
    joined(CAUTIONS),
    OLDER_VERSIONS,
  ].join("");
}

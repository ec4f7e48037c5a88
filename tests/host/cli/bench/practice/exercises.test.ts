// The exercises of docs/practice.md, every command in their order on a practice board: each does what the page says of it; all but the first in CI.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { commandsIn, wordsOf } from "../../../../support/commands.ts";
import { ALL } from "../../../../support/effort.ts";
import { PracticeWorld, type Ran } from "./practice-world.ts";

/** What a command prints, by its place among those alike, or its exit code; all others exit with 0. */
type Saying = Readonly<Record<string, readonly (RegExp | number)[]>>;

const FIRST_TWO: Saying = {
  "headgate status": [/OFF[\s\S]*SETTINGS/, /OFF[\s\S]*ARM-BOOT/, /SENSOR/, /TRIPPED by SENSOR/, 69, /OFF/],
  "headgate status --short": [/^ARMED/, /^ARMED/, /^FLOWING: stage 1/, /^OFF/, /^OFF/],
  "headgate load my.yaml --yes": [/LOADED$/, 1, /LOADED$/],
  "headgate diff my.yaml": [1],
  "headgate runs": [/^1 /m, /^2 /m],
  "headgate review first.hgrun last": [/^stage 2 flowed:$/m],
  "headgate undo --yes --weaken": [/LOADED$/],
  "headgate flash --yes": [/FLASHED$/],
};
const PROVE =
  "headgate prove --settings my.yaml --only BOTTLE-HIGH FUEL-LOW OVERBOOST RPM-LOST --html proof.html";
const THIRD: Saying = {
  [PROVE]: [/^PROVED/m],
  "headgate load my.yaml --yes": [/LOADED$/],
  "headgate status": [
    /^TRIPPED by BOTTLE-HIGH at 75\d\d kPa gauge/,
    /^TRIPPED by FUEL-LOW at 13\d/,
    /^TRIPPED by OVERBOOST at 1[56]\d/,
    /^TRIPPED by RPM-LOST/,
    /^LOCKED by DRIVER/,
  ],
  "headgate status --short": [/^FLOWING/, /^LOCKED by DRIVER/, /^ARMED/],
  "headgate runs": [/FUEL-LOW[\s\S]*OVERBOOST[\s\S]*RPM-LOST[\s\S]*DRIVER/],
  "headgate review last --html trip.html": [/locked out: DRIVER/],
};

const COMMANDS = commandsIn("docs/practice.md").slice(1);
const SECOND = COMMANDS.findIndex((command) => command.startsWith("headgate board run"));
const LAST = COMMANDS.indexOf(PROVE);

function changeRamp(folder: string): void {
  const file = join(folder, "my.yaml");
  const text = readFileSync(file, "utf8");
  const changed = text.replace("[60 km/h, 20 %]", "[60 km/h, 60 %]");
  expect(changed).not.toBe(text);
  writeFileSync(file, changed);
}

/** Types them one after another; what is not as it should be is told. */
async function follow(world: PracticeWorld, commands: readonly string[], says: Saying): Promise<void> {
  const seen = new Map<string, number>();
  const wrong: string[] = [];
  for (const command of commands) {
    if (command === "headgate check my.yaml") changeRamp(world.folder);
    const ran: Ran = await world.run(...wordsOf(command));
    const nth = seen.get(command) ?? 0;
    seen.set(command, nth + 1);
    const said = says[command]?.[nth] ?? 0;
    const good =
      typeof said === "number" ? ran.exit === said : ran.exit === 0 && said.test(ran.stdout.trim());
    if (!good) wrong.push(`${command} (${nth + 1}): ${ran.exit} ${ran.stdout} ${ran.stderr}`);
  }
  expect(wrong.join("\n")).toBe("");
  for (const [command, said] of Object.entries(ALL ? says : {}))
    expect([command, seen.get(command)]).toEqual([command, said.length]);
}

describe("every command does what the page says", () => {
  test("it will not arm; a run between two rounds", { timeout: 400_000 }, async () => {
    const world = new PracticeWorld();
    await world.open();
    expect(LAST).toBeGreaterThan(45);
    await follow(world, COMMANDS.slice(0, ALL ? LAST : SECOND), FIRST_TWO).finally(() => world.close());
  });

  test.runIf(ALL)("five trips, proved first", { timeout: 400_000 }, async () => {
    const world = new PracticeWorld();
    await world.open();
    await world.run("new", "my.yaml", "--preset", "demo");
    await follow(world, COMMANDS.slice(LAST), THIRD).finally(() => world.close());
  });
});

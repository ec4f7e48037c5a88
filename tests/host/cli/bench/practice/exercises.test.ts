// The exercises of docs/practice.md, every command in their order on a practice board: each does what the page says of it; all but the first in CI.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { commandsIn, wordsOf } from "../../../../support/commands.ts";
import { ALL } from "../../../../support/effort.ts";
import { PracticeWorld, type Ran } from "./practice-world.ts";

/** What a command of the page prints, by its place among those alike; all others exit with 0. */
const SAID: Readonly<Record<string, readonly (RegExp | number)[]>> = {
  "headgate status": [
    /OFF[\s\S]*SETTINGS/,
    /OFF[\s\S]*ARM-BOOT/,
    /SENSOR/,
    /TRIPPED by SENSOR/,
    69,
    /OFF/,
    /^TRIPPED by BOTTLE-HIGH at 75\d\d kPa gauge/,
    /^TRIPPED by FUEL-LOW at 13\d/,
    /^TRIPPED by OVERBOOST at 1[56]\d/,
    /^TRIPPED by RPM-LOST/,
    /^LOCKED by DRIVER/,
  ],
  "headgate status --short": [
    /^ARMED/,
    /^ARMED/,
    /^FLOWING: stage 1/,
    /^OFF/,
    /^OFF/,
    /^FLOWING/,
    /^LOCKED by DRIVER/,
    /^ARMED/,
  ],
  "headgate load my.yaml --yes": [/LOADED$/, 1, /LOADED$/, /LOADED$/],
  "headgate diff my.yaml": [1],
  "headgate runs": [/^1 /m, /^2 /m, /DRIVER/],
  "headgate prove --settings my.yaml --only BOTTLE-HIGH FUEL-LOW OVERBOOST RPM-LOST --html proof.html": [
    /^PROVED/m,
  ],
  "headgate review last --html trip.html": [/locked out: DRIVER/],
  "headgate undo --yes --weaken": [/LOADED$/],
  "headgate flash --yes": [/FLASHED$/],
};

describe("the exercises", () => {
  const world = new PracticeWorld();
  beforeAll(() => world.open());
  afterAll(() => world.close());

  function changeRamp(): void {
    const file = join(world.folder, "my.yaml");
    const text = readFileSync(file, "utf8");
    const changed = text.replace(/\b(\d\d)( %\])/, (_, share, after) => `${Number(share) - 5}${after}`);
    expect(changed).not.toBe(text);
    writeFileSync(file, changed);
  }

  test("every command does what the page says", { timeout: 600_000 }, async () => {
    const seen = new Map<string, number>();
    const all = commandsIn("docs/practice.md").slice(1);
    expect(all.length).toBeGreaterThan(45);
    const second = all.findIndex((command) => command.startsWith("headgate board run"));
    const commands = ALL ? all : all.slice(0, second);
    const wrong: string[] = [];
    for (const command of commands) {
      if (command === "headgate check my.yaml") changeRamp();
      const ran: Ran = await world.run(...wordsOf(command));
      const nth = seen.get(command) ?? 0;
      seen.set(command, nth + 1);
      const said = SAID[command]?.[nth] ?? 0;
      const good =
        typeof said === "number" ? ran.exit === said : ran.exit === 0 && said.test(ran.stdout.trim());
      if (!good) wrong.push(`${command} (${nth + 1}): ${ran.exit} ${ran.stdout} ${ran.stderr}`);
    }
    expect(wrong.join("\n")).toBe("");
    for (const [command, said] of Object.entries(ALL ? SAID : {}))
      expect([command, seen.get(command)]).toEqual([command, said.length]);
  });
});

// Manners that every command has: one JSON document, no colour in a pipe, nothing wider than the screen, stdin closed all along.
import { describe, expect, test } from "vitest";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { World } from "./world.ts";

/** Commands that come to an end by themselves, in an order in which each has something to say. */
const COMMANDS = [
  ["new", "fresh.yaml"],
  ["check", "car.yaml"],
  ["load", "car.yaml", "--yes"],
  ["history"],
  ["diff", "car.yaml", "old.yaml"],
  ["read"],
  ["status"],
  ["ports"],
  ["doctor", "--seconds", "1"],
  ["undo", "--yes"],
  ["explain", "RPM-LOST"],
  ["board", "--tcp", "--seconds", "1"],
];

function world(): World {
  const made = new World();
  made.device.state.settings = [...settingsBytes(exampleDocument(1))];
  made.write("old.yaml", formatSettings(exampleDocument(1)));
  made.write("car.yaml", formatSettings(exampleDocument(2)).replace("[0 s, 30 %]", "[0.3 s, 20 %]"));
  return made;
}

describe("--json", () => {
  test("is one document for each command, with its name and whether it went well", async () => {
    const made = world();
    for (const command of COMMANDS) {
      const ran = await made.run(...command, "--json");
      const { command: name, ok } = ran.json();
      expect([name, ok]).toEqual([command[0], ran.exit === 0]);
    }
  });
});

describe("text", () => {
  test.each([40, 80])("fits %i columns, without colour, also on stderr", async (columns) => {
    const made = world();
    made.columns = columns;
    for (const command of COMMANDS) {
      const ran = await made.run(...command);
      if (command[0] === "read") continue;
      for (const line of `${ran.stdout}\n${ran.stderr}`.split("\n")) {
        expect(line).not.toContain("\u001b");
        const fits = line.length <= columns || longestWord(line) > columns / 3;
        expect([command[0], line, fits]).toEqual([command[0], line, true]);
      }
    }
  });
});

/** Paths, hashes and file lines are not broken. */
const longestWord = (line: string): number => Math.max(...line.split(/\s+/).map((word) => word.length));

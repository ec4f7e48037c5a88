// Files of older versions: brought up to date with every change told, or refused at the place that needs a person.
import { describe, expect, test } from "vitest";
import { checkSettings } from "#host/settings/check.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { MIGRATIONS, type Migration } from "#host/settings/migrations.ts";
import { formatSettings } from "#host/settings/write.ts";
import { LAYOUT_VERSION } from "#shared-schema/settings/settings.ts";

const PRESENT = formatSettings(exampleDocument(2));
const OLDER = LAYOUT_VERSION - 1;

/** A made-up older version: another name, something missing, something that is gone, something that needs a person. */
const STEPS: readonly Migration[] = [
  {
    from: OLDER,
    steps: [
      { at: "flow", do: "rename", key: "pulses", to: "frequency" },
      { at: "stages.*", do: "add", key: "longest", value: "8 s", why: "every stage has its own limit now" },
      { at: "engine", do: "drop", key: "colour", why: "it never did anything" },
      { at: "windows", do: "refuse", key: "boost", why: "choose a window on manifold pressure" },
    ],
  },
];
const OLD = PRESENT.replace(`version: ${LAYOUT_VERSION}`, `version: ${OLDER}`)
  .replace("  frequency: 20 Hz", "  pulses: 20 Hz")
  .replaceAll("longest: 8 s", "# no limit")
  .replace("engine:\n", "engine:\n  colour: red\n");

describe("an older file", () => {
  test("becomes the present document, with every change told", () => {
    const { document, issues, migrated } = checkSettings(OLD, STEPS);
    expect(issues).toEqual([]);
    expect(document).toEqual(exampleDocument(2));
    expect(migrated).toEqual([
      "flow.pulses is now called flow.frequency",
      "stages.1.longest is new and set to 8 s: every stage has its own limit now",
      "stages.2.longest is new and set to 8 s: every stage has its own limit now",
      "engine.colour is removed: it never did anything",
    ]);
  });

  test("errors still stand at their places in the file as it is", () => {
    const { issues } = checkSettings(OLD.replace("pulses: 20 Hz", "pulses: 20 bar"), STEPS);
    const line = OLD.split("\n").findIndex((text) => text.includes("pulses: 20 Hz")) + 1;
    expect(issues).toMatchObject([{ code: "wrong-unit", field: "flow.frequency", line }]);
  });

  test("what a person must decide is refused by name and place", () => {
    const { document, issues } = checkSettings(
      OLD.replace("windows:\n", "windows:\n  boost: 20 psi\n"),
      STEPS,
    );
    expect(document).toBeUndefined();
    expect(issues.find(({ code }) => code === "wrong-version")).toMatchObject({
      field: "windows.boost",
      got: "20 psi",
    });
  });

  test("a version that nothing leads from is refused; so is a newer one, and none", () => {
    const at = (version: string): unknown[] => [
      checkSettings(PRESENT.replace(`version: ${LAYOUT_VERSION}`, version)).issues.map(({ code }) => code),
    ];
    for (const version of ["version: 0", `version: ${LAYOUT_VERSION + 1}`, "version: one", "# none"])
      expect(at(version)).toEqual([["wrong-version"]]);
  });
});

test("the present version needs no migration, and the table has no gap", () => {
  expect(checkSettings(PRESENT).migrated).toEqual([]);
  expect(MIGRATIONS.map(({ from }) => from)).toEqual(
    MIGRATIONS.map((_, i) => LAYOUT_VERSION - MIGRATIONS.length + i),
  );
});

// The screen of a moment: never larger than its room, nothing lost at 80x24 whatever happens, and given up in a stated order below.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { paintFor } from "#host/report/terminal/terminal.ts";
import { momentLine, momentOf, momentScreen } from "#host/report/terminal/watch.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { COLUMNS } from "#shared-schema/link/columns.ts";
import { SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS, interlockNumber, MODES, REASON_BITS } from "#shared-schema/model/interlocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { ENTRIES } from "#shared-schema/settings/entries.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { runs } from "../../../support/effort.ts";

const paint = paintFor({ write: () => true }, {});
const GROUPS = ENTRIES.filter(({ node }) => node.kind === "group" && node.optional).map(({ path }) => path);
const EVERYTHING = exampleDocument(4, GROUPS);

const LARGEST = { u8: 255, u16: 65_535, u32: 2 ** 32 - 1 } as const;
/** All columns at one value, as the link gives them. */
const zeros = Object.fromEntries(COLUMNS.map(({ name, count }) => [name, count ? [0, 0, 0, 0] : 0]));
const live = (change: Record<string, number | number[]>) => ({ ...zeros, trip: 255, ...change });
const anyLive = fc.record(
  Object.fromEntries(
    COLUMNS.map(({ name, type, count }) => {
      const one = fc.nat(LARGEST[type as keyof typeof LARGEST]);
      return [name, count ? fc.array(one, { minLength: count, maxLength: count }) : one] as const;
    }),
  ),
);
const anySettings = fc
  .tuple(fc.integer({ min: 1, max: 4 }), fc.subarray(GROUPS))
  .map(([stages, groups]) => exampleDocument(stages, groups));

function screen(values: object, settings: Document | undefined, width: number, height: number): string[] {
  return momentScreen(momentOf(values as never), { settings, room: { width, height }, paint });
}

/** The words of a screen without its line breaks. */
const flat = (lines: readonly string[]): string => lines.join(" ").replace(/\s+/g, " ");

const ALL_REASONS = 2 ** REASON_BITS - 1;
const mode = (name: (typeof MODES)[number]): number => MODES.indexOf(name);

describe("room", () => {
  test("no moment, no settings and no size make it larger than the screen; the verdict stands first", () => {
    fc.assert(
      fc.property(
        anyLive,
        fc.option(anySettings, { nil: undefined }),
        fc.integer({ min: 40, max: 120 }),
        fc.integer({ min: 4, max: 60 }),
        (values, settings, width, height) => {
          const lines = screen(values, settings, width, height);
          expect(lines.length).toBeLessThanOrEqual(height);
          for (const line of lines) expect(line.length).toBeLessThanOrEqual(width);
          expect(lines[0]).toMatch(/^[A-Z]+( by |:)/);
        },
      ),
      runs(60),
    );
  });

  test("at 80x24 nothing is lost, though all is fitted and everything holds flow off", () => {
    const worst = live({
      mode: mode("tripped"),
      trip: interlockNumber("DRIVER"),
      tripValue: 0x302,
      reasons: ALL_REASONS,
    });
    const text = screen(worst, EVERYTHING, 79, 23).join("\n");
    expect(text).not.toContain("no room here");
    for (const { id } of INTERLOCKS.slice(0, REASON_BITS)) expect(text).toContain(id);
    for (const name of [
      "stage 4",
      "bottle",
      "fuel",
      "manifold",
      "lambda",
      "coolant",
      "gear",
      "retard",
      "supply",
    ])
      expect(text).toContain(name);
  });

  test("with few reasons at 80x24 each has its cause and what to do", () => {
    const text = flat(screen(live({ mode: mode("armed"), reasons: 0b100 }), EVERYTHING, 79, 23));
    expect(text).toContain("the throttle is not proven wide open");
    expect(text).toContain("do: open the throttle fully");
    expect(text).not.toContain("no room here");
  });

  test("in ever fewer lines the rest goes first, then pressures, stages and reasons; a line says so", () => {
    const armed = live({ mode: mode("armed"), reasons: 0b10100 });
    const shown = (height: number): boolean[] => {
      const text = screen(armed, EVERYTHING, 40, height).join("\n");
      return [/^ARMED/, /WOT/, /^stage 1/m, /^(bottle|manifold) /m, /^battery/m].map((part) =>
        part.test(text),
      );
    };
    const kept = [60, 20, 12, 7, 4].map((height) => shown(height));
    for (const parts of kept) expect(parts).toEqual([...parts].sort((a, b) => Number(b) - Number(a)));
    expect(kept[0]).toEqual([true, true, true, true, true]);
    expect(kept.at(-1)!.slice(0, 2)).toEqual([true, true]);
    expect(kept.at(-1)!.at(-1)).toBe(false);
    expect(screen(armed, EVERYTHING, 40, 8).join(" ")).toMatch(/no room here for:.*the rest/);
  });

  test("what is not fitted is not shown", () => {
    const text = screen(live({}), exampleDocument(1), 79, 23).join("\n");
    for (const name of ["lambda", "coolant", "gear", "road", "bottle", "retard", "stage 2", "purge"])
      expect(text).not.toContain(name);
    expect(text).toContain("stage 1");
    expect(text).toContain("battery");
  });
});

describe("words", () => {
  test("a trip is told with its value and what to do, before all else", () => {
    const lean = live({ mode: mode("tripped"), trip: interlockNumber("LEAN"), tripValue: 940 });
    const text = flat(screen(lean, EVERYTHING, 79, 23).slice(0, 4));
    expect(text).toMatch(/^TRIPPED by LEAN at 0.94 lambda: the mixture is leaner than its limit/);
    expect(text).toMatch(
      /do: find the missing fuel before the next run; then switch the arm switch off and on/,
    );
  });

  test("after a trip with the arm switch on nobody is told to switch it on", () => {
    const bits = { reasons: 1 << interlockNumber("ARM"), trip: interlockNumber("FUEL-LOW") };
    const tripped = (switches: number) => live({ ...bits, mode: mode("tripped"), switches });
    const [on, off] = [1 << SWITCH_BITS.arm, 0].map((switches) =>
      flat(screen(tripped(switches), EVERYTHING, 79, 23)),
    );
    expect(on).toContain("then switch the arm switch off and on");
    expect(on).not.toContain("the arm switch is off");
    expect(off).toContain("the arm switch is off");
  });

  test("a reading that is not believed sends nobody to warm or fill the bottle; one that is believed does", () => {
    const [low, sensor] = ["BOTTLE-LOW", "SENSOR"].map((id) => interlockNumber(id)) as [number, number];
    const shown = (values: Record<string, number>): string =>
      flat(screen(live({ reasons: 1 << low, ...values }), EVERYTHING, 79, 40));
    const tripped = { mode: mode("tripped"), trip: sensor };
    const warm = "warm the bottle";
    expect(shown({}), "nothing else is wrong").toContain(warm);
    expect(shown({ reasons: (1 << low) | (1 << sensor) }), "which sensor is not known").not.toContain(warm);
    expect(shown({ reasons: (1 << low) | (1 << interlockNumber("ADC")) })).not.toContain(warm);
    const bottle = shown({ ...tripped, tripValue: 1 << ADC_A.indexOf("bottle") });
    expect(bottle).not.toContain(warm);
    expect(bottle).toContain("TRIPPED by SENSOR (bottle sensor at 0 mV)");
    expect(bottle).toContain("act on this only by a gauge");
    expect(shown({ ...tripped, tripValue: 1 << ADC_A.indexOf("fuel") }), "another sensor").toContain(warm);
    expect(shown({ trip: sensor, tripValue: 1 << 2 }), "a trip that is over").toContain(warm);
  });

  test("every lockout says first to shut the bottle valve, and no remedy repeats the arm switch", () => {
    const rows = INTERLOCKS.filter(({ reaction }) => reaction === "lockout");
    expect(rows.length).toBeGreaterThan(2);
    for (const { id } of rows) {
      const locked = flat(
        screen(live({ mode: mode("locked"), trip: interlockNumber(id) }), EVERYTHING, 79, 23),
      );
      expect(locked).toContain("do: shut the bottle valve first");
    }
    for (const { id, reaction } of INTERLOCKS.filter((row) => row.reaction === "trip")) {
      const tripped = flat(
        screen(live({ mode: mode("tripped"), trip: interlockNumber(id) }), EVERYTHING, 79, 23),
      );
      expect(tripped.split("arm switch off and on").length, `${id}: ${reaction}`).toBe(2);
      expect(tripped, id).not.toMatch(/cycle the arm switch/);
    }
  });

  test("an engine that stands is not said to have stopped while flowing; one that tripped so is", () => {
    const lost = interlockNumber("RPM-LOST");
    const stands = screen(live({ reasons: 1 << lost }), EVERYTHING, 79, 23).join(" ");
    expect(stands).toContain("the engine stands");
    expect(stands).not.toContain("while flowing");
    const tripped = live({ mode: mode("tripped"), trip: lost, tripValue: 60_000, reasons: 1 << lost });
    expect(screen(tripped, EVERYTHING, 79, 23)[0]).toContain("engine pulses stopped while flowing");
  });

  test("one line counts the reasons that it has no room for", () => {
    const all = momentOf(live({ reasons: ALL_REASONS }) as never);
    expect(momentLine(all, 100).length).toBeLessThanOrEqual(100);
    expect(momentLine(all, 100)).toMatch(/ARM, ARM-BOOT.* \d+ more; engine 0 rpm/);
    expect(momentLine(all, Number.POSITIVE_INFINITY)).toContain("SUPPLY; engine");
  });
});

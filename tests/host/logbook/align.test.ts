// Spans of a run and two runs on one axis: properties over random records, and a car of constant speed.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { byDistance, byTime, difference, readAt } from "#host/logbook/align.ts";
import { digestOf } from "#host/logbook/digest.ts";
import { commonOrigins, originOf } from "#host/logbook/origin.ts";
import type { LogSample } from "#host/logbook/sample.ts";
import { joined, modeSpans, reasonSpans, spansOf } from "#host/logbook/spans.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";

const [ARMED, FLOWING] = [MODES.indexOf("armed"), MODES.indexOf("flowing")];

/** Records a hundredth of a second apart. */
const every10ms = (samples: readonly Partial<Record<string, number>>[], fromS = 0): LogSample[] =>
  samples.map((sample, i) => ({ ...sample, time: Number((fromS + i * 0.01).toFixed(2)) }) as LogSample);

const records = fc
  .array(fc.record({ mode: fc.nat(6), reasons: fc.nat(255), roadSpeed: fc.nat(200) }), {
    minLength: 1,
    maxLength: 60,
  })
  .map((samples) => every10ms(samples));

describe("spans", () => {
  test.prop([records])("cover exactly the records that fulfil the condition", (samples) => {
    const is = ({ reasons = 0 }: LogSample): boolean => (reasons & 4) !== 0;
    const spans = spansOf(samples, is);
    for (const [i, sample] of samples.entries()) {
      const inside = spans.some(({ fromS, toS }) => sample.time! >= fromS && sample.time! < toS);
      if (i < samples.length - 1) expect(inside).toBe(is(sample));
    }
  });

  test.prop([records])(
    "of modes follow each other without a gap; of reasons hold each of its bits",
    (samples) => {
      const modes = modeSpans(samples);
      for (const [i, span] of modes.slice(1).entries()) expect(span.fromS).toBe(modes[i]!.toS);
      const all = samples.reduce((bits, { reasons = 0 }) => bits | reasons, 0);
      const found = reasonSpans(samples).reduce((bits, { number }) => bits | (1 << number), 0);
      expect(found).toBe(all);
    },
  );

  test("that lie close together become one", () => {
    const spans = [
      { fromS: 0, toS: 1 },
      { fromS: 1.04, toS: 2 },
      { fromS: 2.2, toS: 3 },
    ];
    expect(joined(spans, 0.05)).toEqual([
      { fromS: 0, toS: 2 },
      { fromS: 2.2, toS: 3 },
    ]);
  });
});

describe("the origin of a run", () => {
  const pressed = 1 << SWITCH_BITS.launch;
  const before = Array.from({ length: 5 }, () => ({ mode: ARMED, switches: pressed }));
  const after = Array.from({ length: 5 }, () => ({ mode: ARMED, switches: 0 }));
  const withLaunch = (startsAt: string) => ({ ...exampleDocument(1), launch: { startsAt } });

  test("is the launch, by the edge that the settings name", () => {
    const samples = every10ms([...before, ...after]);
    expect(originOf(samples, withLaunch("release"))).toEqual({ what: "launch", atS: 0.05 });
    expect(originOf(samples, withLaunch("press")).what).toBe("arming");
    const pressing = every10ms([...after, ...before]);
    expect(originOf(pressing, withLaunch("press"))).toEqual({ what: "launch", atS: 0.05 });
  });

  test("is the first flow without settings or launch, and of the same kind for two runs", () => {
    const flows = every10ms([...before, ...after, { mode: FLOWING }]);
    expect(originOf(flows, undefined)).toEqual({ what: "first flow", atS: 0.1 });
    const one = { samples: flows, settings: withLaunch("release") };
    const other = { samples: every10ms([...after, { mode: FLOWING }]) };
    expect(commonOrigins(one, other).map(({ what, atS }) => [what, atS])).toEqual([
      ["first flow", 0.1],
      ["first flow", 0.05],
    ]);
    const standing = { samples: every10ms(after) };
    expect(commonOrigins(one, standing).map(({ what }) => what)).toEqual(["arming", "arming"]);
  });
});

describe("two runs on one axis", () => {
  test.prop([records, fc.integer({ min: 0, max: 500 })])(
    "differ by nothing when one only began later",
    (samples, later) => {
      const shifted = every10ms(samples, later / 100);
      const origin = (atS: number) => ({ what: "arming" as const, atS });
      const one = byTime(samples, origin(0));
      const other = byTime(shifted, origin(later / 100));
      if (samples.length < 2) return;
      for (const value of difference(one, other, "roadSpeed")) expect(value).toBeCloseTo(0, 6);
    },
  );

  test("by distance: 36 km/h are 0.1 m in each hundredth of a second, from the origin on", () => {
    const samples = every10ms(Array.from({ length: 101 }, () => ({ roadSpeed: 36 })));
    const { places } = byDistance(samples, { what: "launch", atS: 0.5 });
    expect(places).toHaveLength(51);
    expect(places.at(-1)).toBeCloseTo(5, 6);
  });

  test("say nothing where records are lost or there are none", () => {
    const samples = every10ms([{ roadSpeed: 10 }, { roadSpeed: 20 }, { roadSpeed: 30 }]);
    const torn = [...samples.slice(0, 2), { ...samples[2]!, time: 0.5 }];
    const track = byTime(torn, { what: "arming", atS: 0 });
    expect(readAt(track, "roadSpeed", [-1, 0, 0.005, 0.2, 0.6])).toEqual([null, 10, 15, null, null]);
  });
});

describe("a run in one line", () => {
  test.prop([records])("counts the flow of every record but lost ones, and its peaks", (samples) => {
    const { flowingS, peakKmh } = digestOf(samples);
    const flowing = samples.slice(0, -1).filter(({ mode }) => mode === FLOWING).length;
    expect(flowingS).toBeCloseTo(flowing * 0.01, 6);
    expect(peakKmh).toBe(Math.max(...samples.map(({ roadSpeed = 0 }) => roadSpeed)));
  });

  test("names what tripped in order, each once", () => {
    const trips = [255, 10, 10, 255, 3];
    expect(digestOf(every10ms(trips.map((trip) => ({ trip })))).trips).toEqual(["OVERBOOST", "TPS-SW"]);
  });
});

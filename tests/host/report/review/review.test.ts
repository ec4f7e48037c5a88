// Reviews of runs that the demo car drove on the core rig, held against what was seen of the same runs from outside.
import { describe, expect, test } from "vitest";
import { findings } from "#host/bench/findings.ts";
import { GO_S } from "#host/bench/loop/script.ts";
import { originOf } from "#host/logbook/origin.ts";
import { runOf } from "#host/logbook/runs.ts";
import { spansOf } from "#host/logbook/spans.ts";
import { askedShares } from "#host/report/review/given.ts";
import { nitrousKg, numberRows } from "#host/report/review/numbers.ts";
import { reviewPage } from "#host/report/review/page.ts";
import { type Reviewed, since } from "#host/report/review/reviewed.ts";
import { AFTER_OPENING_S, BEFORE_SHUT_S, mostSlip } from "#host/report/review/slip.ts";
import { storyOf } from "#host/report/review/story.ts";
import { reviewLines } from "#host/report/review/text.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { type Recorded, recorded } from "../../../support/recorded.ts";

function reviewed({ entry, file }: Recorded, name = "one.hgrun"): Reviewed {
  const { samples, settingsCrc } = runOf(file.pages);
  const { settings, supply, plan } = entry;
  return {
    name,
    run: 1,
    samples,
    origin: originOf(samples, settings),
    settings,
    settingsCrc,
    facts: file.facts,
    note: undefined,
    car: { name: "demo", data: entry.car, supply, plannedKg: plan.bottle.usedKg },
    lacks: [],
  };
}

const [plain, lifted, tripped] = await Promise.all([
  recorded(),
  recorded({ liftS: 3.7 }),
  recorded({ conditions: { bottlePa: 6e5 }, forS: 3 }),
]);
const [run, other, trip] = [reviewed(plain), reviewed(lifted, "two.hgrun"), reviewed(tripped)];
/** A record comes every hundredth of a second, and the log's first launch record up to one later. */
const CLOSE_S = 0.03;

const FLOWING = MODES.indexOf("flowing");

const told = (of: Reviewed, kind: string): string[] =>
  storyOf(of)
    .filter((moment) => moment.kind === kind)
    .map(({ words }) => words);

describe("in words", () => {
  test("the wait after arming is not called an arm switch that is off", () => {
    const held = storyOf(run).filter(({ words }) => words.includes("held off by ARM"));
    expect(held.length).toBeGreaterThan(0);
    expect(held[0]!.words).toContain("the short wait after arming, with the arm switch on");
    for (const { words } of held) expect(words).not.toContain("the arm switch is off");
  });

  test("every opening of every stage is told where the pins opened it", () => {
    const flows = findings(plain.driven, plain.entry.settings).stages;
    const expected = flows.flatMap((stage, n) => stage.map(({ fromS }) => ({ n: n + 1, s: fromS - GO_S })));
    const opened = storyOf(run).filter(({ kind }) => kind === "opens");
    for (const { n, s } of expected)
      expect(
        opened.some(({ words, atS }) => words.includes(String(n)) && Math.abs(since(run, atS) - s) < 0.1),
        `stage ${n} at ${s}`,
      ).toBe(true);
    expect(opened.flatMap(({ words }) => words.match(/\d/g) ?? [])).toHaveLength(expected.length);
  });

  test("what held off, and for how long, is what the core said meanwhile", () => {
    const held = storyOf(run).filter(({ kind, atS }) => kind === "held" && since(run, atS) > -CLOSE_S);
    for (const { id, forS, times } of plain.driven.held) {
      const seconds = held
        .filter(({ words }) => words.startsWith(`held off by ${id}`))
        .reduce((sum, { atS, toS }) => sum + toS! - atS, 0);
      expect(Math.abs(seconds - forS), id).toBeLessThan(CLOSE_S * (times + 1));
    }
  });

  test("a trip says its value and its limit", () => {
    expect(tripped.driven.trips).toEqual(["BOTTLE-HIGH"]);
    const [words, ...more] = told(trip, "trip");
    expect(more).toEqual([]);
    expect(words).toMatch(
      /^tripped: BOTTLE-HIGH: .*; bottle pressure 7[1-5]\d\d kPa gauge, .*highest 71\d\d kPa gauge$/,
    );
  });

  test("a lift shuts every stage, held off by the throttle", () => {
    expect(told(other, "shuts").filter((words) => words.endsWith("held off by WOT")).length).toBeGreaterThan(
      1,
    );
    expect(told(other, "shuts").at(-1)).toMatch(/the arm switch went off$/);
  });

  test("where a stage got less than its ramps ask: at each opening, by the rise limit", () => {
    const less = told(run, "less");
    expect(
      less.filter((words) => words.includes("the rise limit of 300 %/s held it")).length,
    ).toBeGreaterThan(3);
    const asked = askedShares(run, 0);
    const last = run.samples.findLastIndex(({ share1, mode }) => share1 === 100 && mode === FLOWING);
    expect(asked[last]).toBeCloseTo(100, 6);
  });

  test("without settings no limit and no ramp is told, and the times count from the first flow", () => {
    const bare = { ...run, settings: undefined, car: undefined, origin: originOf(run.samples, undefined) };
    expect(told(bare, "less")).toEqual([]);
    expect(reviewLines(bare, 80).join("\n")).not.toMatch(/window opens|lowest \d|nitrous used/);
    expect(bare.origin.what).toBe("first flow");
  });
});

describe("in numbers", () => {
  test("nitrous by shares and plan is what the car drew, within 3 %", () => {
    for (const [of, { driven }] of [
      [run, plain],
      [other, lifted],
    ] as const)
      expect(nitrousKg(of)! / driven.drawnKg).toBeGreaterThan(0.97);
    expect(nitrousKg(run)! / plain.driven.drawnKg).toBeLessThan(1.03);
  });

  test.each([0.75, 1])(
    "the most wheelspin inside a flow is that of the car, within a hundredth: grip x %f",
    async (gripShare) => {
      const spun = await recorded({ conditions: { gripShare } });
      const of = reviewed(spun);
      const flows = spansOf(of.samples, ({ mode }) => mode === FLOWING);
      const launchS = of.origin.atS - GO_S;
      const inside = spun.driven.samples.filter(({ s, carKmh }) => {
        const at = s + launchS;
        return (
          carKmh > 30 &&
          flows.some(({ fromS, toS }) => at >= fromS + AFTER_OPENING_S && at <= toS - BEFORE_SHUT_S)
        );
      });
      const truth = Math.max(...inside.map(({ slip }) => slip));
      expect(truth).toBeGreaterThan(0.02);
      expect(Math.abs(mostSlip(of)!.slip - truth)).toBeLessThan(0.01);
    },
  );

  test("wheelspin is not claimed from a driven sender, nor without the car's gears", () => {
    expect(mostSlip(run)).toBeDefined();
    const road = { ...(run.settings!.road as object), sender: "driveshaft" };
    expect(mostSlip({ ...run, settings: { ...run.settings, road } })).toBeUndefined();
    expect(mostSlip({ ...run, car: undefined })).toBeUndefined();
  });

  test("rows only say what is there", () => {
    const rows = numberRows(trip).map(([what]) => what);
    expect(rows).not.toContain("nitrous used");
    expect(rows).not.toContain("bottle pressure fell");
    expect(numberRows(run).map(([what]) => what)).toEqual(
      expect.arrayContaining(["nitrous used", "bottle pressure fell", "stage 3 flowed"]),
    );
  });

  test.each([80, 40])("the text fits %i columns", (width) => {
    for (const line of reviewLines(run, width)) expect(line.length).toBeLessThanOrEqual(width);
  });
});

describe("the page", () => {
  const page = reviewPage("time", run);

  test("asks for nothing from anywhere, and is far under 1.5 MB, two runs too", () => {
    const two = reviewPage("distance", run, other);
    for (const html of [page, two]) {
      expect(html).not.toMatch(/(src|href)="(?!#)|url\(|@import|https?:/);
      expect(html.length).toBeLessThan(1_500_000);
    }
  });

  test("holds every count of the log: the path of the engine speed read back is the run", () => {
    const d = /<path class="line one" d="([^"]+)"/.exec(page)![1]!;
    const numbers = [...d.matchAll(/-?\d+/g)].map(Number);
    const points = new Map<number, number>();
    let [x, y] = [0, 0];
    for (let i = 0; i < numbers.length; i += 2) {
      x += numbers[i]!;
      y += numbers[i + 1]!;
      points.set(x, -y);
    }
    let before = 0;
    for (const sample of run.samples) {
      const at = points.get(Math.round(since(run, sample.time!) * 1000)) ?? before;
      expect(at).toBe(sample.engineSpeed);
      before = at;
    }
  });

  test("names, notes and lacks cannot become markup", () => {
    const bad = "<script>alert(1)</script>'\"&";
    const html = reviewPage("time", { ...run, name: bad, note: bad, lacks: [bad] });
    expect(html.match(/<script>/g)).toHaveLength(1);
    expect(html).not.toContain("alert(1)</script>'");
  });

  test("breaks a line where records are lost", () => {
    const torn = run.samples.filter(({ time = 0 }) => time < 3 || time > 3.4);
    const d = /<path class="line one" d="([^"]+)"/.exec(reviewPage("time", { ...run, samples: torn }))![1]!;
    expect(d.match(/m/g)).toHaveLength(2);
  });
});

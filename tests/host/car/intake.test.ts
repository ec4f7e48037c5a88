/** Boost builds up as a first-order lag that nitrous shortens, and torque goes with the absolute manifold pressure: by hand. */
import { describe, expect, test } from "vitest";
import { ASSUMED_MOTION } from "#host/car/car.ts";
import { Intake } from "#host/car/intake.ts";
import { testCar } from "../plan/cars.ts";

const AIR_PA = 101_325;
const STEADY_PA = 120e3;
const LAG_S = 0.8;
const RPM = 4000;
const OWN_NM = 300;
const STEP_S = 0.0005;

const intake = () =>
  new Intake(
    testCar({
      torque: [
        [1000, OWN_NM],
        [7000, OWN_NM],
      ],
      motion: {
        ...ASSUMED_MOTION,
        intakeS: STEP_S,
        openManifoldPa: AIR_PA,
        boost: {
          overRpm: [
            [1000, 0],
            [3000, STEADY_PA],
            [7000, STEADY_PA],
          ],
          lagS: LAG_S,
          airPa: AIR_PA,
        },
      },
    }),
  );

/** Time, s, until a share of the steady boost. */
function timeTo(share: number, addedW: (ownW: number) => number): number {
  const engine = intake();
  for (let n = 1; n < 20_000; n++) {
    const ownW = (engine.filling * engine.wideNm(RPM) * RPM * Math.PI) / 30;
    engine.step(STEP_S, 1, RPM, false, addedW(ownW));
    if (engine.manifoldPa >= AIR_PA + share * STEADY_PA) return n * STEP_S;
  }
  return Number.POSITIVE_INFINITY;
}

describe("boost", () => {
  test.each([0.5, 0.8, 0.95])(
    "without nitrous reaches %d of the steady boost after lag x ln(1 / (1 - share))",
    (share) => {
      expect(timeTo(share, () => 0)).toBeCloseTo(LAG_S * Math.log(1 / (1 - share)), 2);
    },
  );

  test("half of the engine's power in nitrous shortens the lag to two thirds, as much again to half, more no further", () => {
    const alone = LAG_S * Math.log(5);
    for (const [times, factor] of [
      [0.5, 1.5],
      [1, 2],
      [5, 2],
    ] as const)
      expect(timeTo(0.8, (ownW) => times * ownW)).toBeCloseTo(alone / factor, 2);
  });

  test("torque is the curve's at steady boost, and less by the ratio of absolute pressures before", () => {
    const engine = intake();
    engine.step(STEP_S, 1, RPM, false, 0);
    expect(engine.wideNm(RPM)).toBeCloseTo((OWN_NM * AIR_PA) / (AIR_PA + STEADY_PA), 0);
    for (let n = 0; n < 20_000; n++) engine.step(STEP_S, 1, RPM, false, 0);
    expect(engine.wideNm(RPM)).toBeCloseTo(OWN_NM, 2);
    expect(engine.manifoldPa).toBeCloseTo(AIR_PA + STEADY_PA, -1);
  });

  test("a free engine makes none, what there was falls by the lag, and a slower engine has no more than its steady boost", () => {
    const engine = intake();
    for (let n = 0; n < 20_000; n++) engine.step(STEP_S, 1, RPM, false, 0);
    for (let n = 0; n < LAG_S / STEP_S; n++) engine.step(STEP_S, 1, RPM, true, 1e6);
    expect((engine.manifoldPa - AIR_PA) / STEADY_PA).toBeCloseTo(Math.exp(-1), 2);
    engine.step(STEP_S, 1, 1000, false, 0);
    expect(engine.manifoldPa).toBeCloseTo(AIR_PA, -1);
  });

  test("an engine without a turbocharger has its curve at once", () => {
    const engine = new Intake(
      testCar({
        torque: [
          [1000, OWN_NM],
          [7000, OWN_NM],
        ],
      }),
    );
    expect(engine.wideNm(RPM)).toBe(OWN_NM);
  });
});

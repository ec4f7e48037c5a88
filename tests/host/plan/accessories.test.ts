/** Accessories: their numbers by hand, and that the controller would take them. */
import { fc, test as property } from "@fast-check/vitest";
import { describe, expect, test } from "vitest";
import { accessoriesOf, fuelSwitchText } from "#host/plan/accessories.ts";
import { heaterLongestS } from "#host/plan/accessory-settings.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import { sizeSystem } from "#host/plan/nitrous/sizing.ts";
import { internalEnergyJKg, vesselAtEnergy, vesselAtPressure } from "#host/plan/nitrous/states.ts";
import { carText, goalOf } from "./cars.ts";
import { planOf } from "./planned.ts";

const PSI = 6894.757;
const plan = (nitrous: string) => planOf({ fuel: "{pump-flow: 255 L/h}", nitrous });

describe("accessories", () => {
  test("a press of the purge is one and a half line volumes of liquid over the purge's flow", () => {
    const { purge } = plan("{line-length: 4 m, line-bore: 4.8 mm, purge-bore: 1.5 mm}").accessories;
    const byHand = (Math.PI / 4) * 0.0048 ** 2 * 4;
    expect(purge.lineM3).toBeCloseTo(byHand, 9);
    // The table's liquid at 30 C has 688 kg/m3.
    expect(purge.pressS * purge.kgS).toBeCloseTo(1.5 * byHand * 688, 2);
    const wide = plan("{line-length: 4 m, line-bore: 4.8 mm, purge-bore: 3 mm}").accessories.purge;
    expect(purge.pressS / wide.pressS).toBeCloseTo(4, 6);
  });

  test.each(["{}", "{bottle-pressure: 960 psi}", "{bottle-window: [700 psi, 910 psi]}"])(
    "the heater switches inside the window, at least 100 kPa under its top, with 50 kPa between: %s",
    (nitrous) => {
      const { accessories, bottleWindow } = plan(nitrous);
      const { onPa, offPa } = accessories.heater;
      expect(onPa).toBeGreaterThan(bottleWindow.lowestPa);
      expect(offPa).toBeLessThanOrEqual(bottleWindow.highestPa - 1e5);
      expect(offPa - onPa).toBeGreaterThan(5e4);
    },
  );

  const psi = (least: number, most: number) => fc.integer({ min: least, max: most });
  property.prop([psi(440, 1030), psi(1, 300), psi(1, 300)])(
    "whatever window a file may give, the bottle is heated to where flow may begin again, and there is room to switch",
    (working, below, above) => {
      const window = `[${Math.max(440, working - below)} psi, ${Math.min(1150, working + above)} psi]`;
      const nitrous = `{bottle-pressure: ${working} psi, bottle-window: ${window}}`;
      const loaded = loadCar(carText({ nitrous }));
      if (!loaded.ok) {
        for (const { path } of loaded.errors) expect(path).toMatch(/^nitrous\.bottle-/u);
        return;
      }
      const { input } = loaded;
      const { onPa, offPa } = accessoriesOf(input, sizeSystem(input, 50e3, [1], 1, true)).heater;
      const { lowestPa, highestPa } = input.nitrous.window;
      // BOTTLE-LOW lets flow begin again 70 kPa above the lowest.
      expect(onPa).toBeGreaterThanOrEqual(lowestPa + 70e3 - 1);
      expect(offPa).toBeLessThanOrEqual(highestPa - 100e3);
      expect(offPa - onPa).toBeGreaterThanOrEqual(50e3 - 1);
      expect(highestPa - lowestPa).toBeGreaterThan(220e3);
    },
  );

  test("activation names how long the flow must be held back while its window is open", () => {
    const said = (extra: Readonly<Record<string, string>>) =>
      planOf({ fuel: "{pump-flow: 255 L/h}", ...extra });
    const slippery = said({ tyres: "{friction: 0.9}", goal: goalOf(150) });
    const heldS = slippery.trace.filter((row) => row.open && row.shareLimit < 0.98).length * 0.05;
    const reason = slippery.recommendations.find((r) => r.topic === "activation")!.reason;
    expect(heldS).toBeGreaterThan(0.3);
    expect(reason).toContain(`for ${heldS.toFixed(1)} s of this run`);
    const sticky = said({ tyres: "{friction: 3}", goal: goalOf(30) });
    expect(sticky.recommendations.find((r) => r.topic === "activation")!.reason).toContain(
      "two switches would do",
    );
  });

  test("a heater warms from the day's bottle where that is colder than 15 C, in proportion, and may stay on for it", () => {
    const of = (nitrous: string) => planOf({ fuel: "{pump-flow: 255 L/h}", nitrous }).bottle;
    const [usual, warm, cold] = ["{}", "{bottle-temperature: 25 C}", "{bottle-temperature: -20 C}"].map(of);
    expect(warm!.warmUpS).toBe(usual!.warmUpS);
    // 50 K in place of 15 K; liquid takes less heat for each degree the colder it is.
    expect(cold!.warmUpS / usual!.warmUpS).toBeGreaterThan(2.7);
    expect(cold!.warmUpS / usual!.warmUpS).toBeLessThan(50 / 15);
    expect(heaterLongestS(cold!)).toBeGreaterThanOrEqual(cold!.warmUpS);
    const said = planOf({ fuel: "{pump-flow: 255 L/h}", nitrous: "{bottle-temperature: -20 C}" });
    expect(said.cautions.find(({ name }) => name === "bottle-cold")!.instead).toContain("from -20 C");
  });

  test("what the controller cannot do with purge and heater is said, and only where it switches them", () => {
    const said = (controls: string, nitrous = "{}") =>
      planOf({ fuel: "{pump-flow: 255 L/h}", controls, nitrous })
        .cautions.map(({ name }) => name)
        .filter((name) => /^(?:heater|purge)-/u.test(name));
    const all = "purge: yes, heater: yes, bottle-valve: yes";
    expect(said(`{${all}}`)).toEqual([]);
    expect(said("{heater: yes}")).toEqual(["heater-blind"]);
    const poor = "{heater: 40 W, purge-bore: 0.5 mm, line-bore: 6 mm}";
    expect(said(`{${all}}`, poor)).toEqual(["purge-slow", "heater-weak"]);
    expect(said("{}", poor)).toEqual([]);
  });

  test("a heater that sees no bottle brings a full one to 52 C with the heat that metal and pressed liquid take", () => {
    const { overheatS, startPa, fullDensityKgM3 } = planOf({ fuel: "{pump-flow: 255 L/h}" }).bottle;
    const full = vesselAtPressure(fullDensityKgM3, startPa).state;
    const kg = 4.536;
    const metalJ = 1.5 * kg * 897 * (325.15 - full.temperatureK);
    const then = internalEnergyJKg(full) + (300 * overheatS - metalJ) / kg;
    expect(vesselAtEnergy(fullDensityKgM3, then).state.temperatureK).toBeCloseTo(325.15, 1);
  });

  test("stand in the report with their numbers", () => {
    const { recommendations, airPa, accessories } = plan("{heater: 450 W}");
    const said = (topic: string) => recommendations.find((r) => r.topic === topic)!;
    expect(said("bottle heater").choice).toContain("450 W, on below 875 psi, off at 900 psi");
    expect((accessories.heater.offPa - airPa) / PSI).toBeCloseTo(900, 0);
    expect(said("purge valve").choice).toMatch(/a press of \d\.\d s/u);
    expect(said("fuel-pressure switch").choice).toContain("39 psi gauge, in series with the arm switch");
  });

  test("a fuel-pressure switch opens under the working pressure: in tenths where that is 4 psi, against boost where there is any", () => {
    expect(fuelSwitchText(0.9 * 4 * PSI, 0)).toBe("3.6 psi gauge");
    expect(fuelSwitchText(0.9 * 43 * PSI, 22 * PSI)).toBe("39 psi above manifold pressure");
  });
});

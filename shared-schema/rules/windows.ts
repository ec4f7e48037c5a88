// Rules of windows: order of the thresholds, the lowest engine speeds, the margin under the rev limiter, what each needs.
import { gap, groupNeeds, minus, plus, type Rule } from "./rule.ts";

/** Road speed x pulses for each kilometre at which one pulse comes a second. */
const DECI_KMH_PULSES_PER_KM_OF_ONE_HZ = 36_000;

function order(path: string, unit: string, least: number): Rule {
  return {
    id: "window-order",
    blame: `${path}.close${unit}`,
    when: [],
    terms: [plus(`${path}.open${unit}`), plus(`${path}.hysteresis${unit}`), minus(`${path}.close${unit}`)],
    constant: least,
    text: "close must lie above open by more than the hysteresis",
  };
}

function lowest(id: string, path: string, rpm: number, acknowledged: boolean, text: string): Rule {
  return {
    id,
    blame: `${path}.openRpm`,
    when: acknowledged ? [] : [{ field: "engine.lowSpeedAcknowledged", value: 0 }],
    terms: [minus(`${path}.openRpm`), plus(`${path}.hysteresisRpm`)],
    constant: rpm,
    text,
  };
}

function engineRules(path: string): Rule[] {
  return [
    order(path, "Rpm", 50),
    lowest(
      "low-speed",
      path,
      3000,
      false,
      "open less its hysteresis must not lie below 3000 rpm unless `low-speed-acknowledged` says yes",
    ),
    lowest("lowest-speed", path, 2000, true, "open less its hysteresis must never lie below 2000 rpm"),
    {
      id: "limiter-margin",
      blame: `${path}.closeRpm`,
      when: [],
      terms: [plus(`${path}.closeRpm`), minus("engine.revLimiterRpm")],
      constant: 100,
      text: "close must lie at least 100 rpm under the rev limiter",
    },
  ];
}

/** Rules of all windows of one owner; `at` is empty-ended, like `windows.` or `stages.2.`. */
export function windowRules(at: string): Rule[] {
  return [
    ...engineRules(`${at}engineSpeed`),
    order(`${at}roadSpeed`, "DeciKmh", 5),
    {
      id: "road-speed-reach",
      blame: `${at}roadSpeed.closeDeciKmh`,
      when: [],
      terms: [{ factor: -1, fields: ["road.pulsesPerKm", `${at}roadSpeed.closeDeciKmh`] }],
      constant: DECI_KMH_PULSES_PER_KM_OF_ONE_HZ,
      text: "at the close speed the road pulses must not lie more than a second apart: they would read as standing",
    },
    groupNeeds("window-needs-road", `${at}roadSpeed`, "road", "a road speed window needs `road`"),
    order(`${at}manifold`, "DeciKpa", 5),
    groupNeeds(
      "window-needs-manifold",
      `${at}manifold`,
      "manifold",
      "a manifold pressure window needs the `manifold` sensor",
    ),
    gap(
      "gear-order",
      `${at}gears.lowest`,
      0,
      `${at}gears.highest`,
      "the highest gear must not be below the lowest",
    ),
    groupNeeds("window-needs-gearbox", `${at}gears`, "gearbox", "a gear window needs `gearbox`"),
  ];
}

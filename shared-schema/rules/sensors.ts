// Rules of sensors and of what hangs on them: calibration inside the plausible voltages, limits in order.
import { ROAD_SENDERS } from "../settings/choices.ts";
import { gap, groupNeeds, minus, plus, type Rule } from "./rule.ts";

function voltages(at: string, low: string, high: string): Rule[] {
  return [
    gap(
      "sensor-order",
      `${at}.${low}`,
      400,
      `${at}.${high}`,
      "the two calibration voltages must lie at least 0.4 V apart, rising",
    ),
    gap(
      "sensor-plausible",
      `${at}.plausibleLowMv`,
      50,
      `${at}.${low}`,
      "the calibration must lie inside the plausible voltages by 0.05 V",
    ),
    gap(
      "sensor-plausible",
      `${at}.${high}`,
      50,
      `${at}.plausibleHighMv`,
      "the plausible voltages must reach past the calibration by 0.05 V",
    ),
  ];
}

function twoPoint(at: string, unit: string, least: number): Rule[] {
  return [
    ...voltages(at, "lowPointMv", "highPointMv"),
    gap(
      "sensor-span",
      `${at}.low${unit}`,
      least,
      `${at}.high${unit}`,
      "the two calibration values must lie apart, rising",
    ),
  ];
}

const throttleProof: Rule = {
  id: "throttle-proof",
  blame: "throttle.switch",
  when: [],
  terms: [minus("throttle.switch"), minus("throttle.position")],
  constant: 1,
  text: "a wide-open throttle must be proven by a switch, by a position sensor, or by both",
};

/** Rules outside the stages that join sensors and their limits. */
export const sensorRules: readonly Rule[] = [
  throttleProof,
  ...voltages("throttle.position", "closedMv", "openMv"),
  gap(
    "throttle-order",
    "throttle.position.closesAtPermille",
    10,
    "throttle.position.opensAtPermille",
    "opens-at must lie at least 1 % above closes-at",
  ),
  ...twoPoint("manifold", "DeciKpa", 100),
  gap(
    "boost-reach",
    "manifold.overboost.aboveDeciKpa",
    20,
    "manifold.highDeciKpa",
    "the sensor must reach past the boost limit by 2 kPa, or nothing ever trips",
  ),
  ...twoPoint("bottle", "KpaGauge", 500),
  {
    id: "bottle-order",
    blame: "bottle.highestKpaGauge",
    when: [],
    terms: [
      plus("bottle.lowestKpaGauge"),
      plus("bottle.hysteresisKpaGauge"),
      minus("bottle.highestKpaGauge"),
    ],
    constant: 150,
    text: "the bottle's window must be at least 150 kPa wider than its hysteresis",
  },
  gap(
    "bottle-reach",
    "bottle.highestKpaGauge",
    0,
    "bottle.highKpaGauge",
    "the sensor must reach as far as the bottle's window",
  ),
  ...twoPoint("fuel", "DeciKpaGauge", 100),
  gap(
    "fuel-reach",
    "fuel.lowestDeciKpaGauge",
    0,
    "fuel.highDeciKpaGauge",
    "the sensor must reach as far as the lowest fuel pressure",
  ),
  ...twoPoint("lambda", "MilliLambda", 50),
  gap(
    "lambda-reach",
    "lambda.leanestMilliLambda",
    20,
    "lambda.highMilliLambda",
    "the sensor must reach past the leanest mixture by 0.02 lambda, or nothing ever trips",
  ),
  gap(
    "coolant-order",
    "coolant.hotBelowMv",
    100,
    "coolant.coldAboveMv",
    "the voltage falls as the coolant warms: cold-above lies above hot-below",
  ),
  gap(
    "coolant-plausible",
    "coolant.plausibleLowMv",
    10,
    "coolant.hotBelowMv",
    "hot-below must lie inside the plausible voltages",
  ),
  gap(
    "coolant-plausible",
    "coolant.coldAboveMv",
    10,
    "coolant.plausibleHighMv",
    "cold-above must lie inside the plausible voltages",
  ),
];

/** Rules of the parts around bottle and driveline. */
export const partRules: readonly Rule[] = [
  groupNeeds(
    "gearbox-needs-road",
    "gearbox",
    "road",
    "the gear is identified by engine speed and road speed: it needs `road`",
  ),
  ...Array.from({ length: 7 }, (_, i) =>
    gap(
      "gears-fall",
      `gearbox.gears.${i + 1}.ratioDeciRpmPerKmh`,
      10,
      `gearbox.gears.${i}.ratioDeciRpmPerKmh`,
      "ratios must fall from gear to gear",
    ),
  ),
  groupNeeds("driveline-needs-road", "driveline", "road", "the driveline watch needs `road`"),
  {
    id: "driveline-needs-driven",
    blame: "driveline",
    when: [{ field: "road.sender", value: ROAD_SENDERS.indexOf("undriven-wheel") }],
    terms: [plus("driveline")],
    constant: 0,
    text: "the driveline watch cannot see wheelspin at an undriven wheel: leave `driveline` out, or fit a sender at the driveshaft or a driven wheel",
  },
  ...Array.from({ length: 6 }, (_, i) =>
    gap(
      "retard-reach",
      `retard.table.${i}.angleDeciDeg`,
      0,
      "retard.fullSignalDeciDeg",
      "the full signal must reach every angle of the table",
    ),
  ),
  ...Array.from({ length: 5 }, (_, i) => [
    gap(
      "retard-rising",
      `retard.table.${i}.flowPermille`,
      1,
      `retard.table.${i + 1}.flowPermille`,
      "flow must rise from point to point",
    ),
    gap(
      "retard-rising",
      `retard.table.${i}.angleDeciDeg`,
      0,
      `retard.table.${i + 1}.angleDeciDeg`,
      "the retard must not fall as the flow rises",
    ),
  ]).flat(),
  gap(
    "purge-order",
    "purge.longestMs",
    0,
    "purge.eachMinuteMs",
    "one press must not be longer than what a minute allows",
  ),
  groupNeeds(
    "heater-needs-bottle",
    "heater",
    "bottle",
    "the heater is switched on bottle pressure: it needs `bottle`",
  ),
  gap(
    "heater-order",
    "heater.onBelowKpaGauge",
    50,
    "heater.offAtKpaGauge",
    "the heater must stop at least 50 kPa above where it starts",
  ),
  gap(
    "heater-in-window",
    "heater.offAtKpaGauge",
    100,
    "bottle.highestKpaGauge",
    "the heater must stop at least 100 kPa under the bottle's highest pressure",
  ),
  groupNeeds(
    "valve-needs-bottle",
    "bottleValve",
    "bottle",
    "the bottle valve is watched by bottle pressure: it needs `bottle`",
  ),
];

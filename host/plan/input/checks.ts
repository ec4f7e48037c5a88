/** Checks across several values of a car file: contradictions between them, with physics, or with the rules for bottles. */

import { peakPower, torqueAt } from "#host/car/torque-curve.ts";
import { toUnit } from "#host/units/format.ts";
import { LOWEST_OPEN_RPM, partTorque } from "../engine/limits.ts";
import { FILL_LIMIT_KG_M3 } from "../nitrous/bottle.ts";
import { BOTTLE_HYSTERESIS_PA, LEAST_UNDER_PA, LEAST_WIDTH_PA } from "../nitrous/bottle-window.ts";
import { CRITICAL } from "../nitrous/equation-of-state.ts";
import { vesselAtPressure } from "../nitrous/states.ts";
import type { PlanInput } from "./plan-input.ts";
import type { CarFile } from "./schema.ts";
import { type Report, stageChecks } from "./stage-checks.ts";

/** A refused combination, reported at the key that it concerns. */
export interface Contradiction {
  readonly path: string;
  readonly message: string;
  readonly remedy: string;
}

function engineChecks(file: CarFile, report: Report): void {
  const { engine, gearbox } = file;
  const limiter = engine["rev-limiter"];
  if (engine["power-at"] > limiter) {
    report(
      "engine.power-at",
      "peak power lies above the rev limiter",
      "give the engine speed of peak power, or correct the limiter",
    );
  }
  if ((gearbox?.["shift-at"] ?? 0) > limiter) {
    report("gearbox.shift-at", "gears change above the rev limiter", "shift under the limiter");
  }
  if ((gearbox?.["launch-at"] ?? 0) >= (gearbox?.["shift-at"] ?? limiter)) {
    report("gearbox.launch-at", "the launch speed is not under the shift speed", "lower it");
  }
  const ratios = gearbox?.ratios ?? [];
  if (ratios.some((ratio, i) => i > 0 && ratio >= ratios[i - 1]!)) {
    report("gearbox.ratios", "ratios must fall from first gear up", "list them as first, second, third, ...");
  }
  const curve = engine["torque-curve"];
  if (curve === undefined) return;
  if (curve.some(([rpm], i) => i > 0 && rpm <= curve[i - 1]![0])) {
    report("engine.torque-curve", "engine speeds of the torque curve must rise", "put the points in order");
    return;
  }
  const peak = peakPower(curve);
  if (Math.abs(peak.powerW / engine.power - 1) > 0.1) {
    const made = `${toUnit(peak.powerW, "kW").toFixed(0)} kW at ${peak.rpm.toFixed(0)} rpm`;
    report(
      "engine.torque-curve",
      `the curve's own peak power is ${made}, not that of engine.power`,
      "correct one of the two",
    );
  }
}

function windowChecks(input: PlanInput, report: Report): void {
  const lowest = LOWEST_OPEN_RPM + input.hysteresisRpm;
  if (input.closeRpm - lowest < 500) {
    const closes = `nitrous must close at ${input.closeRpm} rpm, 300 under the limiter`;
    report(
      "engine.rev-limiter",
      `${closes}; that leaves no window above the lowest opening speed of ${lowest} rpm`,
      "this engine is too slow for nitrous: it must never flow below 3000 rpm",
    );
  }
}

const tooHot = (file: CarFile): boolean =>
  (file.nitrous?.["bottle-temperature"] ?? 0) >= CRITICAL.temperatureK;

function windowOfBottle(file: CarFile, input: PlanInput, report: Report): void {
  const { bottlePa, window } = input.nitrous;
  const { bottleReachPa } = input.control;
  const psi = (pascal: number) => `${toUnit(pascal, "psi").toFixed(0)} psi`;
  const at = file.nitrous?.["bottle-window"] === undefined ? "bottle-pressure" : "bottle-window";
  if (!(window.lowestPa < bottlePa && bottlePa < window.highestPa))
    report(
      `nitrous.${at}`,
      `the working pressure of the bottle does not lie inside its window (${psi(window.lowestPa - input.air.pressurePa)} gauge is the lowest)`,
      "give the lowest and the highest pressure around nitrous.bottle-pressure",
    );
  else if (bottlePa - window.lowestPa < LEAST_UNDER_PA)
    report(
      `nitrous.${at}`,
      `the working pressure of the bottle lies only ${psi(bottlePa - window.lowestPa)} above the lowest of its window: flow that BOTTLE-LOW has held off begins again only ${psi(BOTTLE_HYSTERESIS_PA)} above it`,
      `give a lowest pressure at least ${psi(LEAST_UNDER_PA)} below nitrous.bottle-pressure`,
    );
  if (window.highestPa - window.lowestPa < LEAST_WIDTH_PA)
    report(
      "nitrous.bottle-window",
      `the bottle's window is only ${psi(window.highestPa - window.lowestPa)} wide: the first flow would end it`,
      `give a window at least ${psi(LEAST_WIDTH_PA)} wide`,
    );
  if (bottleReachPa !== undefined && window.highestPa - input.air.pressurePa > bottleReachPa)
    report(
      "controls.bottle-sensor-reach",
      "the bottle's window ends above what its sensor reads",
      "fit a sensor that reaches further, or lower nitrous.bottle-window",
    );
}

/** Pulses of the engine speed sensor that no sensor gives, or that the controller cannot be told. */
function pulseChecks({ controls }: CarFile, report: Report): void {
  const { "engine-pulses": pulses, "engine-sensor": sensor } = controls ?? {};
  if (pulses === undefined) return;
  if (!Number.isInteger(2 * pulses))
    report(
      "controls.engine-pulses",
      "a four-stroke engine gives a whole number of pulses in two revolutions: half pulses and whole ones, such as 1.5 or 2",
      "count the pulses of two revolutions and give half of them",
    );
  if (sensor !== undefined && sensor !== "ignition" && pulses > 1)
    report(
      "controls.engine-pulses",
      `a sensor at a ${sensor} gives one pulse a revolution at most`,
      "leave controls.engine-pulses out, or name what the sensor hangs on",
    );
}

/** The controller switches heater and bottle valve by what the bottle's sensor reads. */
function switchedChecks({ control }: PlanInput, report: Report): void {
  if (control.bottleReachPa !== undefined) return;
  const needs = { heater: "controls.heater", bottleValve: "controls.bottle-valve" } as const;
  for (const [name, field] of Object.entries(needs))
    if (control.switches.some((one) => one === name))
      report(
        field,
        "the controller judges it by the bottle's pressure, and no sensor is fitted",
        "set controls.bottle-sensor: yes, or leave it out here and give it a switch of its own",
      );
}

function bottleChecks(file: CarFile, input: PlanInput, report: Report): void {
  const n = file.nitrous ?? {};
  const pressurePa = input.nitrous.bottlePa;
  if (pressurePa >= CRITICAL.pressurePa) {
    report(
      "nitrous.bottle-pressure",
      "the pressure is at or above the critical point (1036 psi gauge): no liquid and vapour there, and pressure no longer indicates the temperature",
      "plan for 900 to 1000 psi gauge; the customary 1050 psi lies beyond the critical point",
    );
  } else if (n["bottle-pressure"] !== undefined && n["bottle-temperature"] !== undefined) {
    const { chargeKg, volumeM3 } = input.nitrous.bottle;
    const expected = vesselAtPressure(chargeKg / volumeM3, pressurePa).state.temperatureK;
    if (Math.abs(expected - n["bottle-temperature"]) > 2) {
      const says = `at that pressure the full bottle is at ${toUnit(expected, "C").toFixed(1)} C`;
      const message = `bottle pressure and temperature contradict each other: ${says}`;
      report("nitrous.bottle-temperature", message, "give only one of the two");
    }
  }
  windowOfBottle(file, input, report);
  if (n.charge !== undefined && n.volume !== undefined && n.charge / n.volume > FILL_LIMIT_KG_M3 * 1.001) {
    const percent = ((100 * n.charge) / n.volume / 1000).toFixed(0);
    const message = `the bottle is filled to ${percent} % of its water capacity; the legal limit is 68 %`;
    report("nitrous.charge", message, "lower the charge, or use a larger bottle");
  }
}

function limitChecks(input: PlanInput, report: Report): void {
  for (const limit of input.limits) {
    const torque = (rpm: number) => torqueAt(input.car.torque, rpm);
    const count = Math.max(0, Math.floor(input.engine.limiterRpm / 100) - 9);
    const speeds = Array.from({ length: count }, (_, i) => 1000 + 100 * i);
    const worst = speeds.find((rpm) => torque(rpm) > partTorque(limit, rpm));
    if (worst === undefined) continue;
    const made = `${torque(worst).toFixed(0)} Nm at ${worst} rpm`;
    report(
      `limits.${limit.part}`,
      `the engine alone already makes ${made}, more than the limit given for this part`,
      "correct the limit, or replace the part before adding power",
    );
  }
}

function fuelChecks(file: CarFile, input: PlanInput, report: Report): void {
  if (file.fuel?.kind === "own") {
    for (const key of ["air-ratio", "heating-value", "density"] as const) {
      if (file.fuel[key] === undefined)
        report("fuel.kind", `a custom fuel needs "${key}"`, "add it, or name a known fuel");
    }
  }
  if (input.fuel.gaugePa <= input.engine.boostPa) {
    report(
      "fuel.pressure",
      "fuel pressure is not above manifold pressure: no fuel would flow",
      "raise fuel pressure above boost",
    );
  }
  if (input.goal.system === "dry" && input.engine.carburettor) {
    report(
      "goal.system",
      "a dry system needs injectors, and this engine has a carburettor: nothing would add the fuel",
      "plan a wet system, or correct engine.intake",
    );
  } else if (input.goal.system === "dry" && !input.fuel.ecuEnrichment) {
    report(
      "goal.system",
      "a dry system needs an engine computer that adds the fuel and confirms it",
      "set fuel.ecu-enrichment: yes, or plan a wet system",
    );
  }
}

function tyreChecks(file: CarFile, report: Report): void {
  const slips = (file.tyres?.["slip-curve"] ?? []).map(([slip]) => slip);
  if (new Set(slips).size < slips.length)
    report(
      "tyres.slip-curve",
      "two points of the slip curve have the same slip",
      "give each slip once, with the friction that was measured there",
    );
}

function controlChecks(file: CarFile, input: PlanInput, report: Report): void {
  const goals = [file.goal["added-power"], file.goal["quarter-mile"]].filter((goal) => goal !== undefined);
  if (goals.length !== 1) report("goal", "give exactly one goal", "either added-power or quarter-mile");
  stageChecks(file, input, report);
  if (input.goal.axis === "road-speed" && input.control.pulsesPerM === undefined) {
    report(
      "goal.ramp",
      "a ramp over road speed needs a road speed sensor",
      "set controls.road-pulses, or choose another ramp",
    );
  }
  if (file.controls?.["road-sender"] === "undriven-wheel" && file.car.driven === "all") {
    report(
      "controls.road-sender",
      "a car that drives all its wheels has no undriven wheel",
      "name the part that the sender counts: driven-wheel or driveshaft",
    );
  }
  if (file.controls?.["road-sender"] !== undefined && input.control.pulsesPerM === undefined) {
    report(
      "controls.road-sender",
      "a road speed sender is named, but not its pulses",
      "say controls.road-pulses, or leave controls.road-sender out",
    );
  }
  pulseChecks(file, report);
  if (input.goal.axis === "launch" && !input.control.launchSwitch) {
    report(
      "goal.ramp",
      "a ramp over time since launch needs a launch switch",
      "set controls.launch-switch: yes, or choose another ramp",
    );
  }
  const { batteryV, batteryLowV, batteryHighV } = input.lags;
  if (batteryLowV > batteryV || batteryV > batteryHighV)
    report(
      "controls.battery",
      "the battery lies outside its own edges",
      "give controls.battery-low, battery and battery-high so that they rise",
    );
  const { opening10VS, openingS, opening14VS, closingS, frequencyHz } = input.nitrous;
  if (opening10VS < openingS || openingS < opening14VS)
    report(
      "nitrous.solenoid-opening",
      "the solenoid would open slower at a higher voltage",
      "give opening times that fall from 10 V over 12 V to 14 V, as measured",
    );
  if ((opening10VS + closingS) * frequencyHz > 0.8) {
    report(
      "nitrous.frequency",
      "at this frequency the solenoid has no time to open and close",
      "lower the frequency, or fit a faster solenoid",
    );
  }
}

/** Contradictions that prevent defaults from being filled in; the others can be checked only after these are corrected. */
export function blockingContradictions(file: CarFile): Contradiction[] {
  if (!tooHot(file)) return [];
  const path = "nitrous.bottle-temperature";
  const message =
    "the bottle is warmer than the critical point of nitrous oxide (36.37 C): there is no liquid in it";
  return [{ path, message, remedy: "plan for 30 to 35 C; cool a hotter bottle before use" }];
}

/** All other contradictions of a filled-in file. */
export function inputContradictions(file: CarFile, input: PlanInput): Contradiction[] {
  const found: Contradiction[] = [];
  const report: Report = (path, message, remedy) => found.push({ path, message, remedy });
  engineChecks(file, report);
  windowChecks(input, report);
  bottleChecks(file, input, report);
  switchedChecks(input, report);
  limitChecks(input, report);
  fuelChecks(file, input, report);
  tyreChecks(file, report);
  controlChecks(file, input, report);
  return found;
}

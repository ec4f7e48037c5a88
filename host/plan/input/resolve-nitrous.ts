/** Fills in bottle, valves and fuel. Gauge pressures are read against the air of the place. */
import { ATMOSPHERE_PA, POUND_KG } from "#host/units/constants.ts";
import { toUnit } from "#host/units/format.ts";
import { absolutePa, gaugePa } from "#host/units/pressure.ts";
import type { Air } from "../engine/atmosphere.ts";
import { FUELS, type Fuel } from "../engine/fuels.ts";
import { AIR_OXYGEN_SHARE } from "../engine/oxygen-balance.ts";
import { type Bottle, FILL_LIMIT_KG_M3 } from "../nitrous/bottle.ts";
import { vesselAt } from "../nitrous/states.ts";
import type { Defaults } from "./defaults.ts";
import type { FuelInput, NitrousInput } from "./plan-input.ts";
import { flowTolerance, resolveWindow } from "./resolve-window.ts";
import type { CarFile } from "./schema.ts";

const BOTTLE_PA = 900 * 6894.757293168;
const PRACTICE = "common practice, no source";

function bottlePressure(file: CarFile, air: Air, defaults: Defaults): number {
  const given = file.nitrous?.["bottle-pressure"];
  if (given !== undefined) return absolutePa(given, "gauge", air.pressurePa);
  defaults.note(
    "nitrous.bottle-pressure",
    "900 psi gauge",
    `low end of the customary window (${PRACTICE}); 30 C, where liquid and vapour coexist; heater and shade keep it there`,
  );
  return BOTTLE_PA + air.pressurePa;
}

type NitrousKeys = NonNullable<CarFile["nitrous"]>;

function resolveBottle(n: NitrousKeys, defaults: Defaults): Bottle {
  const mass = (key: "charge" | "bottle-metal", value: number, unit: "lb" | "kg", why: string) =>
    defaults.quantity<"mass">(`nitrous.${key}`, n[key], value, unit, unit === "kg" ? 1 : 0, why);
  const chargeKg = mass("charge", 10 * POUND_KG, "lb", "the usual bottle");
  const atLimit = chargeKg / FILL_LIMIT_KG_M3;
  const full = "charge at 68 % of the water capacity";
  const blanket = "a common heater blanket";
  return {
    chargeKg,
    volumeM3: defaults.quantity<"volume">("nitrous.volume", n.volume, atLimit, "L", 2, full),
    metalKg: mass("bottle-metal", 1.5 * chargeKg, "kg", "aluminium bottle, 1.5 times its charge"),
    heaterW: defaults.quantity<"power">("nitrous.heater", n.heater, 300, "W", 0, blanket),
  };
}

type Solenoid = Pick<NitrousInput, "openingS" | "opening10VS" | "opening14VS" | "closingS" | "frequencyHz">;

function resolveSolenoid(n: NitrousKeys, defaults: Defaults): Solenoid {
  type Key = "solenoid-opening" | "solenoid-closing" | "solenoid-opening-10V" | "solenoid-opening-14V";
  const time = (key: Key, value: number, why: string) =>
    defaults.quantity<"time">(`nitrous.${key}`, n[key], value, "ms", 1, `${why}; measure your valve`);
  const openingS = time("solenoid-opening", 0.011, PRACTICE);
  const guess = "from the time at 12 V";
  return {
    openingS,
    opening10VS: time("solenoid-opening-10V", openingS * 1.25, guess),
    opening14VS: time("solenoid-opening-14V", openingS * 0.82, guess),
    closingS: time("solenoid-closing", 0.008, PRACTICE),
    frequencyHz: defaults.quantity<"frequency">("nitrous.frequency", n.frequency, 20, "Hz", 0, PRACTICE),
  };
}

const rising = (sizes: readonly number[] | undefined) => sizes && [...sizes].sort((a, b) => a - b);

/** The line from the bottle to the solenoids. */
const resolveLine = (
  n: NitrousKeys,
  defaults: Defaults,
): Pick<NitrousInput, "lineLengthM" | "lineFriction" | "purgeBoreM"> => ({
  purgeBoreM: defaults.quantity<"length">(
    "nitrous.purge-bore",
    n["purge-bore"],
    0.0015,
    "mm",
    1,
    "decides how long a press of the purge",
  ),
  lineLengthM: defaults.quantity<"length">(
    "nitrous.line-length",
    n["line-length"],
    4,
    "m",
    1,
    "from a bottle in the back to the engine",
  ),
  lineFriction: defaults.plain(
    "nitrous.line-friction",
    n["line-friction"],
    0.016,
    "Darcy factor of a smooth tube at such flows (textbook, from memory); a corrugated hose has several times as much",
  ),
});

/** The full bottle at the stated temperature. */
function dayOf(bottle: Bottle, temperatureK: number | undefined): NitrousInput["day"] {
  if (temperatureK === undefined) return undefined;
  const { pressurePa } = vesselAt(bottle.chargeKg / bottle.volumeM3, temperatureK).state;
  return { temperatureK, pressurePa };
}

/** Bottle and nitrous path. `watched`: a bottle pressure sensor ends the flow outside the window. */
export function resolveNitrous(file: CarFile, air: Air, watched: boolean, defaults: Defaults): NitrousInput {
  const n = file.nitrous ?? {};
  const bottle = resolveBottle(n, defaults);
  const bottlePa = bottlePressure(file, air, defaults);
  const tolerance = flowTolerance(n, defaults);
  const remedy = "replace it with a measured value: headgate plan calibrate";
  const yields = `${PRACTICE}; decides the flow, and therefore the jets, for a given power`;
  return {
    bottlePa,
    window: resolveWindow(n, bottlePa, air, watched, defaults),
    day: dayOf(bottle, n["bottle-temperature"]),
    edges: { tolerance, low: 1 - tolerance, high: 1 + tolerance },
    bottle,
    coefficient: defaults.plain("nitrous.jet-coefficient", n["jet-coefficient"], 0.75, remedy),
    valveBoreM: n["valve-bore"],
    lineBoreM: n["line-bore"],
    solenoidBoreM: n["solenoid-bore"],
    ...resolveLine(n, defaults),
    jetsM: rising(n.jets),
    lambda: defaults.plain("nitrous.lambda", n.lambda, 0.7, `rich, as kits are jetted (${PRACTICE})`),
    efficiency: defaults.quantity<"ratio">("nitrous.efficiency", n.efficiency, 0.26, "%", 0, yields),
    ...resolveSolenoid(n, defaults),
  };
}

function ownFuel(file: CarFile): Fuel {
  const { fuel } = file;
  return {
    name: "own fuel",
    oxygenKgKg: (fuel?.["air-ratio"] ?? Number.NaN) * AIR_OXYGEN_SHARE,
    heatingValueJKg: fuel?.["heating-value"] ?? Number.NaN,
    densityKgM3: fuel?.density ?? Number.NaN,
    source: "as stated in the car file",
  };
}

/** Fuel and fuel system. */
export function resolveFuel(
  file: CarFile,
  boostGaugePa: number,
  cylinders: number,
  defaults: Defaults,
): FuelInput {
  const f = file.fuel ?? {};
  const kind = defaults.plain("fuel.kind", f.kind, "gasoline", "the usual fuel");
  const known = kind === "own" ? ownFuel(file) : FUELS[kind];
  const fuel = kind === "own" || f.density === undefined ? known : { ...known, densityKgM3: f.density };
  const carburettor = file.engine.intake === "carburettor";
  const usual = (carburettor ? 6 : 43) * 6894.757293168 + (carburettor ? 0 : boostGaugePa);
  const given = f.pressure === undefined ? undefined : gaugePa(f.pressure, "gauge", ATMOSPHERE_PA);
  const why = carburettor ? "usual with a carburettor" : "usual injection pressure, above manifold pressure";
  return {
    fuel,
    gaugePa: given ?? fallback(defaults, usual, why),
    jetsM: rising(f.jets),
    injectorM3S: f["injector-flow"],
    injectors:
      f["injector-flow"] === undefined
        ? (f.injectors ?? cylinders)
        : defaults.plain("fuel.injectors", f.injectors, cylinders, "one for each cylinder"),
    pumpM3S: f["pump-flow"],
    ecuEnrichment: f["ecu-enrichment"] === "yes",
  };
}

function fallback(defaults: Defaults, pascal: number, why: string): number {
  defaults.note("fuel.pressure", `${toUnit(pascal, "psi").toFixed(0)} psi gauge`, why);
  return pascal;
}

// Where a car stands so that as much as possible flows: found by trying places inside all windows, not by a formula.
import { unhandled } from "#shared-schema/model/unhandled.ts";
import { GEARS } from "#shared-schema/settings/choices.ts";
import type { ProofSettings, Ramp, StageSettings, Windows } from "./settings.ts";

/** A steady place: engine speed rpm, road speed 0.1 km/h, manifold pressure 0.1 kPa absolute. */
export interface Point {
  readonly rpm: number;
  readonly deciKmh: number;
  readonly deciKpa: number;
}

const STEPS = 8;
const USUAL_DECI_KMH = 800;
const USUAL_DECI_KPA = 970;

interface Range {
  readonly low: number;
  readonly high: number;
}

/** Places spread over a range, the middle first. */
function spread({ low, high }: Range): number[] {
  const places = Array.from({ length: STEPS + 1 }, (_, i) => Math.round(low + ((high - low) * i) / STEPS));
  return places.sort((a, b) => Math.abs(a - (low + high) / 2) - Math.abs(b - (low + high) / 2));
}

/** The inside of a window, away from its edges; undefined without a window. */
function inner(window: object | undefined, unit: string): Range | undefined {
  if (!window) return undefined;
  const fields = window as Readonly<Record<string, number>>;
  const [open, close] = [fields[`open${unit}`] ?? 0, fields[`close${unit}`] ?? 0];
  const room = close - (fields[`hysteresis${unit}`] ?? 0) - open;
  return { low: open + room / 16, high: open + (room * 15) / 16 };
}

function isInside(window: object | undefined, unit: string, value: number): boolean {
  const range = inner(window, unit);
  return !range || (value >= range.low - 1 && value <= range.high + 1);
}

/** The same with the whole window. */
function isWithin(window: object | undefined, unit: string, value: number): boolean {
  if (!window) return true;
  const fields = window as Readonly<Record<string, number>>;
  return value >= fields[`open${unit}`]! && value <= fields[`close${unit}`]!;
}

function gearOf(settings: ProofSettings, point: Point): string | undefined {
  const ratio = (point.rpm * 100) / Math.max(point.deciKmh, 1);
  const gears = settings.gearbox?.gears ?? [];
  return GEARS[gears.findIndex((gear) => Math.abs(ratio / gear.ratioDeciRpmPerKmh - 1) < 0.005)];
}

function gearAllowed(windows: Windows, gear: string | undefined): boolean {
  if (!windows.gears) return true;
  const place = GEARS.indexOf(gear as (typeof GEARS)[number]);
  const { lowest, highest } = windows.gears;
  const [from, to] = [lowest, highest].map((name) => GEARS.indexOf(name as (typeof GEARS)[number]));
  return place >= from! && place <= to!;
}

function allowed(settings: ProofSettings, windows: Windows, point: Point): boolean {
  return (
    isInside(windows.engineSpeed, "Rpm", point.rpm) &&
    isInside(windows.roadSpeed, "DeciKmh", point.deciKmh) &&
    isInside(windows.manifold, "DeciKpa", point.deciKpa) &&
    gearAllowed(windows, gearOf(settings, point))
  );
}

/** Axis value at a point; one over time has come to its end. Throws on an axis that it does not know. */
function axisValue(over: Ramp["over"], point: Point): number {
  if (over === "time" || over === "launch") return Number.POSITIVE_INFINITY;
  if (over === "engine-speed") return point.rpm;
  if (over === "road-speed") return point.deciKmh;
  if (over === "manifold") return point.deciKpa;
  return unhandled(over);
}

/** Share of a ramp at a point, permille. */
export function share(ramp: Ramp, point: Point): number {
  const x = axisValue(ramp.over, point);
  const after = ramp.points.findIndex(([at]) => at > x);
  if (after < 0) return ramp.points.at(-1)![1];
  if (after === 0) return ramp.points[0]![1];
  const [[x0, y0], [x1, y1]] = [ramp.points[after - 1]!, ramp.points[after]!];
  return y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
}

/** Share that the ramps of a stage ask for at a point, permille. */
const askedAt = ({ ramps }: StageSettings, point: Point): number =>
  Math.min(...ramps.map((ramp) => share(ramp, point)));

/** Ids of the rows whose window a point lies outside of; on the edge of one it may be outside. */
function leftWindows(settings: ProofSettings, windows: Windows, point: Point): string[] {
  return [
    ...(isInside(windows.engineSpeed, "Rpm", point.rpm) ? [] : ["RPM-WIN"]),
    ...(isInside(windows.roadSpeed, "DeciKmh", point.deciKmh) ? [] : ["SPEED-WIN"]),
    ...(isInside(windows.manifold, "DeciKpa", point.deciKpa) ? [] : ["MAP-WIN"]),
    ...(gearAllowed(windows, gearOf(settings, point)) ? [] : ["GEAR-WIN"]),
  ];
}

/** Rows by which a stage may be held off at a point where others flow, because its own windows lie elsewhere. */
export function heldElsewhere(settings: ProofSettings, point: Point): string[] {
  return [...new Set(settings.stages.flatMap((stage) => leftWindows(settings, stage, point)))];
}

/** How many stages may flow at a point: those in their windows, where their ramps ask for something. */
export function stagesFlowing(settings: ProofSettings, point: Point): number {
  const may = (stage: StageSettings): boolean =>
    isWithin(stage.engineSpeed, "Rpm", point.rpm) &&
    isWithin(stage.roadSpeed, "DeciKmh", point.deciKmh) &&
    isWithin(stage.manifold, "DeciKpa", point.deciKpa) &&
    gearAllowed(stage, gearOf(settings, point)) &&
    askedAt(stage, point) > 0;
  return settings.stages.filter(may).length;
}

/** How much flows at a point: shares of all stages together, permille. */
function flowAt(settings: ProofSettings, point: Point): number {
  if (!allowed(settings, settings.windows, point)) return 0;
  return settings.stages
    .filter((stage) => allowed(settings, stage, point))
    .reduce((sum, stage) => sum + askedAt(stage, point), 0);
}

/** Ranges worth trying: the windows of the system and of every stage. */
function ranges(settings: ProofSettings, name: keyof Windows, unit: string, usual: number): number[] {
  const found = [settings.windows, ...settings.stages].map((w) => inner(w[name], unit));
  const places = found.flatMap((range) => (range ? spread(range) : []));
  return places.length > 0 ? places : [usual];
}

function roadSpeeds(settings: ProofSettings, rpm: number): number[] {
  const gears = settings.gearbox?.gears ?? [];
  const byGear = gears.map((gear) => Math.round((rpm * 100) / gear.ratioDeciRpmPerKmh));
  return byGear.length > 0 ? byGear : ranges(settings, "roadSpeed", "DeciKmh", USUAL_DECI_KMH);
}

/** The point at which most flows. Throws when nothing can flow anywhere: such settings cannot be proved. */
export function flowPoint(settings: ProofSettings): Point {
  let best: { point: Point; flow: number } | undefined;
  for (const rpm of ranges(settings, "engineSpeed", "Rpm", 0))
    for (const deciKmh of roadSpeeds(settings, rpm))
      for (const deciKpa of ranges(settings, "manifold", "DeciKpa", USUAL_DECI_KPA)) {
        const point = { rpm, deciKmh, deciKpa };
        const flow = flowAt(settings, point);
        if (flow > (best?.flow ?? 0)) best = { point, flow };
      }
  if (!best) throw new Error("no place was found at which any stage of these settings flows");
  return best.point;
}

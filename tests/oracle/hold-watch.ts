// Hold-offs that must not hunt, battery, fuel pressure, bottle pressure and too high a supply: once one has surely begun, how long and how far it surely holds, and which time it is.
import { surely, TICK_SLACK_US, TURN_US } from "./conditions.ts";
import { TURN_TICKS } from "./plausible.ts";
import { batteryMv, type Raw, supplyMv } from "./raw.ts";
import type { Settings } from "./settings.ts";

const LEAST_US = 250_000;
/** The third that stops a flow within this time is a trip, and surely one that comes two looks sooner. */
const [MOST, WITHIN_US] = [3, 10_000_000 - 2 * TURN_US];
const BATTERY_BACK_MV = 300;
const [HIGH_MV, HIGH_BACK_MV] = [16_500, 500];
/** A supply so far off the battery may hold flow off as well, and for so long after: what it counted leaks. */
const [APART_MV, APART_LEAKS_US] = [1_900, 1_200_000];
/** Readings in whole millivolts, at both ends. */
const ROUNDING_MV = 20;

/** Where a reading lies: -1 and 1 surely below and above, 0 where rounding leaves it open. */
type Side = -1 | 0 | 1;

interface Watched {
  readonly name: string;
  /** The row of the catalogue that it trips by. */
  readonly row: string;
  /** The condition on the system that it is itself, if it is one. */
  readonly own?: string;
  /** Against the limit, and against where it is enough again. */
  readonly limit: (raw: Raw) => Side;
  readonly back: (raw: Raw) => Side;
}

const sideOf = (value: number, limit: number, rounding: number): Side =>
  value < limit - rounding ? -1 : value > limit + rounding ? 1 : 0;

/** Too high a supply, judged while the supply has not been off the battery for a while. */
function supplyWatched(): Watched {
  let apartUntilUs = 0;
  const below = (mv: number, raw: Raw): Side =>
    sideOf(mv, Math.max(batteryMv(raw), supplyMv(raw)), ROUNDING_MV);
  const good = (side: Side, { nowUs }: Raw): Side => (side === 1 && nowUs < apartUntilUs ? 0 : side);
  return {
    ...{ name: "supply held", row: "SUPPLY" },
    limit: (raw) => {
      const isApart = Math.abs(batteryMv(raw) - supplyMv(raw)) > APART_MV;
      if (isApart) apartUntilUs = raw.nowUs + APART_LEAKS_US;
      return good(below(HIGH_MV, raw), raw);
    },
    back: (raw) => good(below(HIGH_MV - HIGH_BACK_MV, raw), raw),
  };
}

/** A pressure against the lowest in its settings, and against what is enough again. */
function pressureWatched(
  settings: Settings,
  sensor: "fuel" | "bottle",
  row: string,
  lowest: number,
  enough: number,
): Watched {
  const side =
    (limit: number) =>
    (raw: Raw): Side =>
      surely(raw, settings, sensor, -1, limit) ? -1 : surely(raw, settings, sensor, 1, limit) ? 1 : 0;
  return { name: `${sensor} held`, row, limit: side(lowest), back: side(enough) };
}

function ofFuel(settings: Settings): Watched[] {
  if (!settings.fuel) return [];
  const lowest = settings.fuel.lowestDeciKpaGauge;
  return [pressureWatched(settings, "fuel", "FUEL-LOW", lowest, lowest + Math.floor(lowest / 16))];
}

function ofBottle(settings: Settings): Watched[] {
  if (!settings.bottle) return [];
  const { lowestKpaGauge, hysteresisKpaGauge } = settings.bottle;
  const enough = lowestKpaGauge + hysteresisKpaGauge;
  return [
    { ...pressureWatched(settings, "bottle", "BOTTLE-LOW", lowestKpaGauge, enough), own: "bottle low" },
  ];
}

function watchedOf(settings: Settings): Watched[] {
  const { battery } = settings;
  const mv = (limit: number) => (raw: Raw) => sideOf(batteryMv(raw), limit, ROUNDING_MV);
  const ofBattery: Watched = {
    ...{ name: "battery held", row: "BATT-LOW", own: "battery" },
    limit: mv(battery.lowestMv),
    back: mv(battery.lowestMv + BATTERY_BACK_MV),
  };
  return [ofBattery, supplyWatched(), ...ofFuel(settings), ...ofBottle(settings)];
}

/** What else is known of the tick that a look falls into. */
export interface Around {
  /** Surely armed before it, and something flowed until it. */
  readonly armed: boolean;
  readonly fed: boolean;
  /** What surely stops every flow in it. */
  readonly stopped: readonly string[];
}

/** One of them in front of one core. */
class Hold {
  readonly watched: Watched;
  /** It surely holds. */
  holds = false;
  /** It surely did not hold before the present spell of readings that may be low. */
  private clear = false;
  private spellBeganUs = 0;
  private lowTicks = 0;
  private enoughSinceUs: number | undefined;
  private maybeLowUs = Number.NEGATIVE_INFINITY;
  /** Something flowed as it surely became too low, and nothing else can have stopped that. */
  private stopsFlow = false;
  /** When it surely stopped a flow in this armed period. */
  private stopsUs: number[] = [];

  constructor(watched: Watched) {
    this.watched = watched;
  }

  update(raw: Raw, around: Around): void {
    const { nowUs } = raw;
    if (!around.armed) this.stopsUs = [];
    const limit = this.watched.limit(raw);
    const back = this.watched.back(raw);
    if (limit < 1 && this.maybeLowUs < nowUs - LEAST_US - TURN_US) this.spellBeganUs = nowUs;
    if (limit < 1) this.maybeLowUs = nowUs;
    this.lowTicks = limit === -1 ? this.lowTicks + 1 : 0;
    const alone = around.stopped.every((what) => what === this.watched.own);
    this.stopsFlow = alone && (this.lowTicks > 1 ? this.stopsFlow : around.fed);
    if (this.lowTicks >= TURN_TICKS && this.clear) this.begin(nowUs);
    if (this.holds && back > -1 && nowUs - this.spellBeganUs > LEAST_US - TICK_SLACK_US) this.holds = false;
    this.enoughSinceUs = back === 1 ? (this.enoughSinceUs ?? nowUs) : undefined;
    if (this.surelyEnded(nowUs)) this.clear = true;
  }

  private begin(nowUs: number): void {
    this.holds = true;
    this.clear = false;
    if (this.stopsFlow) this.stopsUs.push(nowUs);
  }

  /** It has surely stopped the flow too often. */
  get repeats(): boolean {
    const first = this.stopsUs.at(-MOST);
    return first !== undefined && this.stopsUs.at(-1)! - first < WITHIN_US;
  }

  /** Enough for a look at least, and nothing that may have begun another hold for longer than the least time. */
  private surelyEnded(nowUs: number): boolean {
    return (
      this.enoughSinceUs !== undefined &&
      nowUs - this.enoughSinceUs > TURN_US &&
      nowUs - this.maybeLowUs > LEAST_US + 2 * TURN_US
    );
  }
}

/** Follows them all. */
export class HoldWatch {
  private readonly all: readonly Hold[];

  constructor(settings: Settings) {
    this.all = watchedOf(settings).map((watched) => new Hold(watched));
  }

  /** Takes in a tick. */
  update(raw: Raw, around: Around): void {
    for (const hold of this.all) hold.update(raw, around);
  }

  /** Rows of those that must have tripped. */
  get trips(): string[] {
    return this.all.filter(({ repeats }) => repeats).map(({ watched }) => watched.row);
  }

  /** Names of those that surely hold. */
  get broken(): string[] {
    return this.all.filter(({ holds }) => holds).map(({ watched }) => watched.name);
  }
}

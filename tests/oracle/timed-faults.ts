// Faults that may last for a time while something is fed: what lasts surely longer must have stopped the flow.
import { WATCHDOG_US } from "#shared-schema/model/blocks.ts";
import { surely, TURN_US } from "./conditions.ts";
import { channelMv, type Raw } from "./raw.ts";
import type { Settings } from "./settings.ts";

const FUEL_US = 20_000;
const COOLANT_US = 100_000;

interface Fault {
  readonly name: string;
  readonly mostUs: number;
  readonly bad: (raw: Raw) => boolean;
  lastedUs: number;
  /** How long its present spell has been going on, bad or good. */
  spellUs: number;
}

function faultsOf(settings: Settings): Fault[] {
  const { fuel, lambda, coolant, stages } = settings;
  const faults: Omit<Fault, "lastedUs" | "spellUs">[] = [];
  if (fuel && stages.every((stage) => stage.kind === "wet")) {
    const bad = (raw: Raw): boolean => surely(raw, settings, "fuel", -1, fuel.lowestDeciKpaGauge);
    faults.push({ name: "fuel pressure", mostUs: FUEL_US, bad });
  }
  if (lambda) {
    const bad = (raw: Raw): boolean => surely(raw, settings, "lambda", 1, lambda.leanestMilliLambda);
    faults.push({ name: "lean", mostUs: 1000 * lambda.withinMs, bad });
  }
  if (coolant) {
    const { coldAboveMv, hotBelowMv } = coolant;
    const bad = (raw: Raw): boolean => {
      const mv = channelMv(raw, "coolant");
      return mv > coldAboveMv + 2.5 || mv < hotBelowMv - 2.5;
    };
    faults.push({ name: "coolant", mostUs: COOLANT_US, bad });
  }
  return faults.map((fault) => ({ ...fault, lastedUs: 0, spellUs: 0 }));
}

/** What shows adds up once it has surely been looked at; what does not leaks at half speed, and for a look's time more. */
function pass(fault: Fault, bad: boolean, us: number): void {
  const begins = bad !== fault.spellUs > 0;
  if (begins) fault.spellUs = 0;
  if (begins && !bad) fault.lastedUs -= TURN_US / 2;
  fault.spellUs += bad ? us : -us;
  const surelyUs = Math.min(us, Math.max(0, fault.spellUs - TURN_US));
  fault.lastedUs = Math.max(0, fault.lastedUs + (bad ? surelyUs : -us / 2));
}

/** Nothing is looked at while nothing is fed: what shows afterwards must last for a look's time again. */
function interrupt(fault: Fault): void {
  if (fault.spellUs === 0) return;
  fault.spellUs = 0;
  fault.lastedUs = Math.max(0, fault.lastedUs - TURN_US / 2);
}

/** Follows the faults of one core. */
export class TimedFaults {
  private readonly faults: readonly Fault[];
  private before: { nowUs: number; fed: boolean } | undefined;

  constructor(settings: Settings) {
    this.faults = faultsOf(settings);
  }

  /** Takes in a tick; `fed` tells whether a nitrous pin is driven after it, `armed` what the core then says of itself. */
  update(raw: Raw, fed: boolean, armed: boolean): void {
    const us = this.before?.fed ? Math.min(raw.nowUs - this.before.nowUs, WATCHDOG_US) : 0;
    for (const fault of this.faults) {
      if (!armed) fault.lastedUs = 0;
      else if (us > 0) pass(fault, fault.bad(raw), us);
      else interrupt(fault);
    }
    this.before = { nowUs: raw.nowUs, fed };
  }

  /** Faults that have surely lasted too long. */
  get broken(): string[] {
    return this.faults.filter((f) => f.lastedUs > f.mostUs).map((f) => f.name);
  }
}

// How long each stage and the whole run have surely been fed in this armed period, from what the pins did between the ticks.
import { TICK_SLACK_US, TURN_US } from "./conditions.ts";
import { isOn, type Raw } from "./raw.ts";
import type { Settings, Stage } from "./settings.ts";

/** Totals up to the tick before: a limit that is passed must show in the pins one tick later. */
interface Fed {
  totalUs: number;
  lastUs: number;
  unconfirmedUs: number;
}

const isFed = (pulse: readonly number[], s: number): boolean => (pulse[2 * s] ?? 0) > 0;

/** Counts only what is sure: time between two ticks that both feed, less the four ticks in which a stage has its turn for each end of flow; a late tick counts as one in time. */
export class FedTimes {
  private readonly settings: Settings;
  private readonly stages: Fed[];
  private run = { totalUs: 0, lastUs: 0 };
  private before: { nowUs: number; pulse: readonly number[] } | undefined;

  constructor(settings: Settings) {
    this.settings = settings;
    this.stages = settings.stages.map(() => ({ totalUs: 0, lastUs: 0, unconfirmedUs: 0 }));
  }

  /** A new armed period begins. */
  restart(): void {
    this.run = { totalUs: 0, lastUs: 0 };
    for (const fed of this.stages) fed.totalUs = fed.lastUs = fed.unconfirmedUs = 0;
  }

  /** Takes in a tick with its pins. */
  update(raw: Raw, pulse: readonly number[]): void {
    const before = this.before;
    this.before = { nowUs: raw.nowUs, pulse };
    if (!before) return;
    const gapUs = Math.min(raw.nowUs - before.nowUs, TICK_SLACK_US);
    let runUs = 0;
    this.stages.forEach((fed, s) => {
      const us = isFed(before.pulse, s) ? (isFed(pulse, s) ? gapUs : Math.min(gapUs, TICK_SLACK_US)) : 0;
      fed.totalUs += fed.lastUs;
      if (us > 0 && !isFed(pulse, s)) fed.totalUs -= 4 * TICK_SLACK_US;
      fed.lastUs = us;
      fed.unconfirmedUs = us === 0 || isOn(raw, "enrich") ? 0 : fed.unconfirmedUs + us;
      runUs = Math.max(runUs, us);
    });
    this.run.totalUs += this.run.lastUs;
    if (runUs > 0 && !pulse.some((width) => width > 0)) this.run.totalUs -= 4 * TICK_SLACK_US;
    this.run.lastUs = runUs;
  }

  /** Limits of time that a stage which is fed now is surely past. */
  broken(stage: Stage, s: number): string[] {
    const fed = this.stages[s]!;
    const broken: string[] = [];
    const overStage = fed.totalUs - 1000 * stage.longestMs;
    const overRun = this.run.totalUs - 1000 * this.settings.flow.longestRunMs;
    if (Math.max(overStage, overRun) > TICK_SLACK_US) broken.push("time");
    const within = stage.kind === "dry" ? stage.enrichment?.withinMs : undefined;
    if (within !== undefined && fed.unconfirmedUs > 1000 * within + TURN_US) broken.push("enrichment");
    return broken;
  }
}

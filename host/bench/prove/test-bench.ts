// The test bench: an emulated board with settings in it, brought to full flow, and what its pins say in exact virtual time.

import { gpioOf, PINS, STAGES } from "#shared-schema/model/pins.ts";
import { type Document, pack, toBytes } from "#shared-schema/settings/pack.ts";
import { STARTED_US } from "../board/boot.ts";
import type { EmulatedBoard } from "../board/emulated-board.ts";
import type { Edge } from "../board/pins.ts";
import { latePulses } from "../pulses.ts";
import type { BoardClient, OpenBoardClient } from "./board-client.ts";
import { flowPoint, heldElsewhere, stagesFlowing } from "./point.ts";
import { type ProofSettings, proofSettings } from "./settings.ts";
import { Stimulus } from "./stimulus.ts";

/** Times in microseconds. */
const SEEN_OFF_US = 215_000;
const ARMED_US = 250_000;
const LIFTED_NS = 150e6;
const LONGEST_UP_US = 8_000_000;
/** By so much a later time may be longer than the first. */
const LONGER = 1.25;
const STEADY_US = 60_000;
const QUIET_US = 150_000;
/** The keep-alive turns over in every tick: without an edge for so long it is stopped. */
const NO_EDGE_NS = 4e6;
/** Settings that take longer than this to come to full flow are tried fewer times. */
const SLOW_NS = 1e9;
const FEW_TRIALS = 2;
/** A question over the line takes less than this; nothing else is done in so short a time. */
const ONLY_ASKED_NS = 50e6;

/** Names of all solenoid pins. */
export const SOLENOID_PINS = PINS.filter((pin) => pin.kind === "solenoid").map((pin) => pin.name);

/** Where boards come from, and how to speak to them. */
export interface TestBenchOptions {
  readonly makeBoard: () => EmulatedBoard;
  readonly openClient: OpenBoardClient;
}

/** One board under proof. */
export class TestBench {
  readonly board: EmulatedBoard;
  readonly settings: ProofSettings;
  readonly stimulus: Stimulus;
  client!: BoardClient;
  /** Stages, from 0, that flow at the point. */
  stages: number[] = [];
  /** A fault has struck that was neither shown nor undone: nothing else is to be tried on it. */
  spoilt = false;
  /** Rows that may hold single stages off at the point, whatever the fault. */
  readonly heldElsewhere: readonly string[];
  /** Trials that are worth their time with these settings. */
  mostTrials = Number.POSITIVE_INFINITY;
  /** CRC of the stored settings; must never change. */
  settingsCrc = 0;
  /** How long it took the first time until all stages flowed, us. */
  #firstUpUs = 0;
  /** When it was last seen to flow steadily after the arm switch was cycled, ns. */
  #armedFlowNs = Number.NEGATIVE_INFINITY;
  /** How many stages are waited for the first time. */
  readonly #wanted: number;
  readonly #block: Uint8Array;
  readonly #open: OpenBoardClient;

  constructor(document: Document, options: TestBenchOptions) {
    this.board = options.makeBoard();
    this.settings = proofSettings(document);
    const point = flowPoint(this.settings);
    this.heldElsewhere = heldElsewhere(this.settings, point);
    this.#wanted = stagesFlowing(this.settings, point);
    this.stimulus = new Stimulus(this.board, this.settings, point);
    this.#block = toBytes(pack(document));
    this.#open = options.openClient;
  }

  get nowNs(): number {
    return this.board.nowNs;
  }

  /** Power on, settings stored over the line, everything good, arm switch off. */
  async start(): Promise<void> {
    this.board.powerOn();
    this.board.runFor(STARTED_US);
    this.client = this.#open(this.board);
    await this.client.store(this.#block);
    this.settingsCrc = (await this.client.hello()).settingsCrc;
    this.stimulus.good();
    this.stimulus.launch(false);
  }

  /** Power off and on, everything good, arm switch off. */
  powerCycle(): void {
    this.board.harness.setSwitch("arm", false);
    this.board.powerCycle();
    this.stimulus.good();
    this.stimulus.launch(false);
    this.board.runFor(STARTED_US);
  }

  /** Arm switch off for a moment: from the time returned nothing flows. */
  rest(): number {
    this.board.harness.setSwitch("arm", false);
    this.board.runFor(STEADY_US);
    return this.nowNs;
  }

  /**
   * Arm switch off until it may arm, then on, the throttle closed until the self-test is over, as a driver has it. Says
   * nothing about what comes of it.
   */
  cycleArm(lifts = true): void {
    this.stimulus.launch(false);
    this.board.harness.setSwitch("arm", false);
    if (lifts) this.stimulus.lift();
    this.board.runFor(SEEN_OFF_US);
    this.board.harness.setSwitch("arm", true);
    if (lifts) this.board.at(this.nowNs + LIFTED_NS, () => this.stimulus.press());
  }

  /** Cycles the arm switch and waits until all stages flow steadily; false when they do not. */
  toFlow(): boolean {
    this.cycleArm();
    this.board.runFor(ARMED_US);
    this.stimulus.launch(true);
    const flows = this.waitForFlow();
    this.#armedFlowNs = flows ? this.nowNs : Number.NEGATIVE_INFINITY;
    return flows;
  }

  /** The same, unless it was just done: the way back of one trial is the beginning of the next. */
  freshFlow(): boolean {
    return this.nowNs - this.#armedFlowNs < ONLY_ASKED_NS || this.toFlow();
  }

  /** Has the controller stopped the keep-alive, and has the master relay opened? */
  get stopped(): boolean {
    const last = this.board.pins.edges("keepAlive").at(-1)?.ns ?? Number.NEGATIVE_INFINITY;
    return !this.board.harness.relay.closed && this.nowNs - last > NO_EDGE_NS;
  }

  /** Waits until all stages flow again; the first time it finds out which do, and where some do not, arms once more. */
  waitForFlow(): boolean {
    const fromNs = this.nowNs;
    const first = this.stages.length === 0;
    const wanted = (): boolean => {
      const flowing = this.flowedSince(fromNs);
      return first ? flowing.length >= this.#wanted : this.stages.every((s) => flowing.includes(s));
    };
    const mostUs = first ? LONGEST_UP_US : Math.max(LONGEST_UP_US / 2, LONGER * this.#firstUpUs);
    const all = this.board.runUntil(wanted, mostUs, 1000);
    if (first) this.stages = this.flowedSince(fromNs);
    if (first) this.#firstUpUs = (this.nowNs - fromNs) / 1000;
    // What flowed while a stage was waited for that never came may have come to its longest time: once more, for the others.
    if (first && !all && this.stages.length > 0) return this.toFlow();
    if (this.nowNs - fromNs > SLOW_NS) this.mostTrials = FEW_TRIALS;
    this.board.runFor(STEADY_US);
    return (all || first) && this.stages.length > 0 && this.anyHighSince(this.nowNs - STEADY_US * 1000);
  }

  /** Stages whose nitrous pin has been high at or after a time. */
  flowedSince(ns: number): number[] {
    return Array.from({ length: STAGES }, (_, s) => s).filter((s) => this.highSince(`nitrous${s + 1}`, ns));
  }

  /** Was a pin high at or after a time, for longer than the test of a driver at arming takes? */
  highSince(name: string, ns: number): boolean {
    return latePulses(this.board.pins.edges(name), ns, this.nowNs).some(
      ({ startNs, widthNs }) => startNs + widthNs > ns,
    );
  }

  anyHighSince(ns: number): boolean {
    return SOLENOID_PINS.some((name) => this.highSince(name, ns));
  }

  /** Microseconds from a cause until all solenoid pins were low for good; undefined when one is high now. */
  lowAfterUs(causeNs: number): number | undefined {
    let latest = causeNs;
    for (const name of SOLENOID_PINS) {
      if (this.board.pins.level(gpioOf(name)) === 1) return undefined;
      const last: Edge | undefined = this.board.pins.edges(name).at(-1);
      if (last && last.ns > latest) latest = last.ns;
    }
    return (latest - causeNs) / 1000;
  }

  /** Microseconds from a cause until the relay's contact opened and stayed open; undefined while it is closed. */
  relayOpenAfterUs(causeNs: number): number | undefined {
    const { relay } = this.board.harness;
    if (relay.closed) return undefined;
    return Math.max(0, ((relay.edges.at(-1)?.ns ?? causeNs) - causeNs) / 1000);
  }

  /** True when nothing has been high for a while, with everything good. */
  staysOff(us = QUIET_US): boolean {
    const fromNs = this.nowNs;
    this.board.runFor(us);
    return !this.anyHighSince(fromNs);
  }
}

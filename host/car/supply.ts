/** The supply in motion: solenoid pins to flow, bottle and fuel pressure, battery and added power. A step makes no objects. */
import type { StageSupply, SupplyData } from "./supply-data.ts";
import { type Table, tableOf } from "./table.ts";
import { createValve, type Valve } from "./valve.ts";

const CELLS = 1000;

/** One stage in motion. Write `nitrousOn` and `fuelOn` (share of the step in which the pin is high) before a step. */
export class StageState {
  readonly data: StageSupply;
  nitrousOn = 0;
  fuelOn = 0;
  /** Share of the last step in which each valve was open. */
  nitrousOpen = 0;
  fuelOpen = 0;
  /** Shares of full flow that have reached the cylinders. */
  nitrousArrived = 0;
  fuelArrived = 0;
  readonly nitrousValve: Valve;
  readonly fuelValve: Valve | undefined;

  constructor(data: StageSupply) {
    this.data = data;
    this.nitrousValve = createValve(data.nitrousValve);
    this.fuelValve = data.fuelValve && createValve(data.fuelValve);
  }
}

/** A supply that runs. Read its fields after each step. */
export class Supply {
  readonly data: SupplyData;
  readonly stages: readonly StageState[];
  drawnKg = 0;
  nitrousKgS = 0;
  fuelKgS = 0;
  bottlePa: number;
  fuelPa: number;
  batteryV: number;
  /** Power added to the engine now, W. */
  addedW = 0;
  private readonly bottle: Table;
  private readonly flow: Table;
  private readonly power: Table;
  private readonly fullFuelKgS: number;
  private readonly fullPa: number;
  private readonly idleFuelPa: number;
  private readonly fuelDroopPa: number;
  private readonly fuelLagS: number;
  private readonly deliveryS: number;
  private readonly torqueLagS: number;
  private readonly restV: number;
  private readonly dropVPerSolenoid: number;

  /** What a step reads is copied: data come in several shapes, and compiled code is thrown away for each new one. */
  constructor(data: SupplyData) {
    this.data = data;
    this.fullPa = data.bottlePa;
    this.idleFuelPa = data.fuelPa;
    this.fuelDroopPa = data.fuelDroopPa;
    this.fuelLagS = data.fuelLagS;
    this.deliveryS = data.deliveryS;
    this.torqueLagS = data.torqueLagS;
    this.restV = data.batteryV;
    this.dropVPerSolenoid = data.dropVPerSolenoid;
    this.stages = data.stages.map((stage) => new StageState(stage));
    this.bottlePa = data.bottlePa;
    this.fuelPa = data.fuelPa;
    this.batteryV = data.batteryV;
    this.bottle = tableOf(data.bottleOverDrawn, CELLS);
    this.flow = tableOf(data.flowOverBottle, CELLS);
    this.power = tableOf(data.powerOverBottle, CELLS);
    this.fullFuelKgS = data.stages.reduce((sum, stage) => sum + stage.fuelKgS, 0);
  }

  /** Moves on by `dtS`, s. */
  step(dtS: number): void {
    const flowShare = this.flow.at(this.bottlePa);
    let nitrous = 0;
    let fuel = 0;
    let wanted = 0;
    let volts = this.restV;
    for (let i = 0; i < this.stages.length; i++) {
      const stage = this.stages[i]!;
      this.moveStage(stage, dtS);
      nitrous += stage.nitrousOpen * stage.data.nitrousKgS * flowShare;
      fuel += stage.fuelOpen * stage.data.fuelKgS;
      wanted += Math.min(stage.nitrousArrived, stage.fuelArrived) * stage.data.addedW;
      volts -= (stage.nitrousOn + stage.fuelOn) * this.dropVPerSolenoid;
    }
    this.nitrousKgS = nitrous;
    this.fuelKgS = fuel;
    this.batteryV = volts;
    this.moveBottle(dtS);
    this.moveFuel(dtS);
    const power = wanted * this.power.at(this.bottlePa);
    this.addedW += (power - this.addedW) * Math.min(1, dtS / this.torqueLagS);
  }

  private moveStage(stage: StageState, dtS: number): void {
    stage.nitrousOpen = stage.nitrousValve.step(dtS, stage.nitrousOn, this.batteryV);
    const reach = Math.min(1, dtS / this.deliveryS);
    stage.nitrousArrived += (stage.nitrousOpen - stage.nitrousArrived) * reach;
    if (stage.fuelValve === undefined) {
      stage.fuelArrived = stage.nitrousArrived;
      return;
    }
    stage.fuelOpen = stage.fuelValve.step(dtS, stage.fuelOn, this.batteryV);
    stage.fuelArrived += (stage.fuelOpen - stage.fuelArrived) * reach;
  }

  private moveBottle(dtS: number): void {
    this.drawnKg += this.nitrousKgS * dtS;
    this.bottlePa = this.fullPa * this.bottle.at(this.drawnKg);
  }

  private moveFuel(dtS: number): void {
    const share = this.fullFuelKgS > 0 ? this.fuelKgS / this.fullFuelKgS : 0;
    const settled = this.idleFuelPa - this.fuelDroopPa * share;
    this.fuelPa += (settled - this.fuelPa) * Math.min(1, dtS / this.fuelLagS);
  }
}

/** A supply at rest: valves shut, the bottle at its pressure. */
export const createSupply = (data: SupplyData): Supply => new Supply(data);

// The settings under which the core's states are explored: every part there, a wet and a dry stage, every time short.
import { lineOf, mvAt, type SensorName, type Settings } from "../oracle/settings.ts";
import { fullSettings } from "../oracle/stand.ts";

/** Shortest times that the table allows, so that few ticks pass all of them. */
export const EXPLORED: Settings = fullSettings((s) => {
  s.flow = { ...s.flow, longestRunMs: 600, riseLimitPercentPerS: 10_000, afterLift: "resume" };
  s.engine.pulsesHalfPulses = 16;
  s.engine.jump = { fastestRpmPerS: 30_000, unevennessPermille: 150 };
  s.road = { pulsesPerKm: 60_000, sender: "driveshaft" };
  s.windows.gears = { lowest: "second", highest: "fourth" };
  s.lambda!.withinMs = 50;
  s.driveline!.holdMs = 50;
  s.retard!.leadMs = 16;
  s.purge = { longestMs: 200, eachMinuteMs: 500 };
  s.heater!.longestS = 10;
  s.bottleValve = { opensWithinMs: 100 };
  const [wet, , , dry] = s.stages;
  delete wet!.enrichment;
  delete wet!.follows;
  delete wet!.delay;
  dry!.enrichment = { withinMs: 50 };
  dry!.delay = { waitMs: 20 };
  dry!.follows = { sharePermille: 500 };
  wet!.engineSpeed = { openRpm: 4000, closeRpm: 6400, hysteresisRpm: 100 };
  wet!.manifold = { openDeciKpa: 900, closeDeciKpa: 1050, hysteresisDeciKpa: 20 };
  dry!.roadSpeed = { openDeciKmh: 400, closeDeciKmh: 2600, hysteresisDeciKmh: 20 };
  dry!.gears = { lowest: "second", highest: "third" };
  delete wet!.roadSpeed;
  delete wet!.gears;
  delete dry!.engineSpeed;
  delete dry!.manifold;
  for (const stage of [wet!, dry!]) {
    stage.longestMs = 500;
    stage.ramps = [
      {
        over: "time",
        points: [
          [0, 600],
          [100, 900],
        ],
      },
    ];
  }
  s.stages = [wet!, dry!];
});

/** Voltage at which a sensor of these settings shows a value. */
export function at(name: SensorName, value: number): number {
  return mvAt(lineOf(EXPLORED, name)!, value);
}

// `headgate plan calibrate`: the true coefficient of a jet from a bottle weighed before and after a timed discharge into the open.
import type { Command } from "@commander-js/extra-typings";
import { Failure, messageOf } from "#host/errors/failure.ts";
import type { JetCalibration } from "#host/plan/nitrous/calibrate.ts";
import { ATMOSPHERE_PA } from "#host/units/constants.ts";
import { toUnit } from "#host/units/format.ts";
import type { Dimension } from "#host/units/table.ts";
import type { Act } from "../command.ts";
import { withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";
import { plannedCar } from "./car-file.ts";

interface CalibrateOptions {
  readonly car: string;
  readonly stage: string;
  readonly jet: string;
  readonly start: string;
  readonly end: string;
  readonly before: string;
  readonly after: string;
  readonly open: string;
  readonly scaleStep: string;
  readonly clockStep: string;
  readonly jetTolerance: string;
}

async function reader() {
  const { parseQuantity } = await import("#host/units/parse.ts");
  return (option: string, text: string, dimension: Dimension) => {
    const parsed = parseQuantity(text, dimension);
    if (parsed.ok) return parsed.value;
    throw new Failure("usage", { what: `--${option}: ${parsed.error.message}` });
  };
}

/** Valve, line and solenoid before the jets of a stage, and the number of its nozzles, as the car's plan has them. */
async function fitted(session: Session, { car, stage }: CalibrateOptions, jetDiameterM: number) {
  const { input, plan } = await plannedCar(session, car);
  const { leastSolenoidM, upstream } = await import("#host/plan/nitrous/sizing.ts");
  const { holeAreaM2 } = await import("#host/plan/nitrous/chain.ts");
  const count = plan.stages.length;
  const at = Number(stage) - 1;
  const jets = plan.stages[at];
  if (jets === undefined)
    throw new Failure("usage", {
      what: `--stage: the plan of ${car} has ${count === 1 ? "one stage" : `stages 1 to ${count}`}, and no stage ${stage}`,
    });
  const { bores } = plan.sizing;
  // The jet that was weighed may be larger than the plan's: a solenoid that the file does not give is then one that suits it.
  const suits =
    input.nitrous.solenoidBoreM === undefined ? leastSolenoidM(jets.nozzles * holeAreaM2(jetDiameterM)) : 0;
  const solenoidM = Math.max(bores.solenoidM[at]!, suits);
  const chain = upstream(input, { ...bores, solenoidM: [solenoidM] });
  return {
    upstream: chain,
    bores: { ...bores, solenoidM, lineLengthM: input.nitrous.lineLengthM },
    nozzles: jets.nozzles,
    bottle: input.nitrous.bottle,
    backPa: input.air.pressurePa,
  };
}

/** Least pressure of a bottle that can be calibrated with, absolute Pa: that of boiling liquid at -40 C. */
const LEAST_BOTTLE_PA = 1e6;
const bottlePsi = (pascal: number): string => toUnit(pascal - ATMOSPHERE_PA, "psi").toFixed(0);

async function measurement(session: Session, options: CalibrateOptions) {
  const read = await reader();
  const { absolutePa } = await import("#host/units/pressure.ts");
  const value = (option: string, text: string, dimension: Dimension) => read(option, text, dimension).value;
  const { CRITICAL } = await import("#host/plan/nitrous/equation-of-state.ts");
  const pressure = (option: string, text: string) => {
    const pascal = absolutePa({ ...read(option, text, "pressure"), dimension: "pressure" }, "gauge");
    if (pascal > LEAST_BOTTLE_PA && pascal < CRITICAL.pressurePa) return pascal;
    const what = `--${option}: liquid in a bottle stands between ${bottlePsi(LEAST_BOTTLE_PA)} and ${bottlePsi(CRITICAL.pressurePa)} psi gauge, and "${text}" does not lie there`;
    throw new Failure("usage", { what });
  };
  const measured = {
    startPa: pressure("start", options.start),
    endPa: pressure("end", options.end),
    massBeforeKg: value("before", options.before, "mass"),
    massAfterKg: value("after", options.after, "mass"),
    openS: value("open", options.open, "time"),
    jetDiameterM: value("jet", options.jet, "length"),
    scaleStepKg: value("scale-step", options.scaleStep, "mass"),
    clockStepS: value("clock-step", options.clockStep, "time"),
    jetToleranceM: value("jet-tolerance", options.jetTolerance, "length"),
  };
  return { ...measured, ...(await fitted(session, options, measured.jetDiameterM)) };
}

type Weighed = Awaited<ReturnType<typeof measurement>>;

const mm = (metres: number) => `${(1000 * metres).toFixed(1)} mm`;

/** What was found, through what it flowed, and whether it may be used. */
function lines(found: JetCalibration, { bores, nozzles }: Weighed): string[] {
  const coefficient = found.dischargeCoefficient.toFixed(3);
  const percent = (100 * found.relativeUncertainty).toFixed(1);
  return [
    `jet coefficient ${coefficient}, +-${percent} % from the resolution of scale and clock and the tolerance of the jet`,
    `mean flow ${(1000 * found.massFlowKgS).toFixed(1)} g/s through ${nozzles === 1 ? "one jet" : `${nozzles} jets`}, a line of ${mm(bores.lineM)} and ${bores.lineLengthM.toFixed(1)} m and a solenoid of ${mm(bores.solenoidM)}: where yours are others, give them in the car file and repeat`,
    ...found.remarks.map((remark) => `remark: ${remark}`),
    found.remarks.length === 0
      ? `add it to the car file: nitrous: {jet-coefficient: ${coefficient}}`
      : "do not enter it in the car file before every remark has been dealt with",
  ];
}

async function calibrate(session: Session, options: CalibrateOptions, _command: unknown): Promise<Result> {
  const { calibrateJet } = await import("#host/plan/nitrous/calibrate.ts");
  try {
    const weighed = await measurement(session, options);
    const found = calibrateJet(weighed);
    return { data: { ...found }, lines: lines(found, weighed) };
  } catch (thrown) {
    if (thrown instanceof RangeError) throw new Failure("usage", { what: messageOf(thrown) });
    throw thrown;
  }
}

const NOTES = `
Discharge outdoors, away from people and ignition, with the nitrous side alone,
through the car's own line and solenoid, the bottle mounted as in the car, and
liquid at the nozzle. What valve, line and solenoid lose is taken from the car's
plan and is not counted as the jet's: give their bores in the car file as fitted.
Bottle pressures are read as gauge unless they say absolute. Follow the maker's instructions.`;

/** Adds the command under `plan`, which takes `--json` and `--debug` for both. */
export function addCalibrate(plan: Command<[string], Record<string, unknown>>, act: Act): void {
  withCommon(plan.command("calibrate"))
    .requiredOption(
      "--car <file>",
      "car file: its plan has the line, the solenoids and the number of nozzles",
    )
    .requiredOption("--jet <size>", "drilled size of the jet, such as 1.2 mm")
    .requiredOption("--start <pressure>", "bottle pressure at the start")
    .requiredOption("--end <pressure>", "bottle pressure at the end")
    .requiredOption("--before <mass>", "weight of the bottle before")
    .requiredOption("--after <mass>", "weight of the bottle after")
    .requiredOption("--open <time>", "how long the valve was open")
    .option("--stage <number>", "which stage was opened, alone", "1")
    .option("--scale-step <mass>", "resolution of the scale", "10 g")
    .option("--clock-step <time>", "resolution of the clock", "0.1 s")
    .option("--jet-tolerance <size>", "tolerance of the jet's size", "0.01 mm")
    .description("calibrate a jet: find its coefficient from a weighed discharge")
    .addHelpText("after", NOTES)
    .action((_, command) => act(calibrate)(command.optsWithGlobals(), command));
}

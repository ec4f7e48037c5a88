// Cycles of the core's tick as native code of the released image on the emulated board, interrupt time not counted, and of
// the same tick written by hand in C, compiled with the same flags and run in the same chip.
import { compilerVersion } from "#firmware/build/compiler.ts";
import { pack } from "#shared-schema/settings/pack.ts";
import type { Car } from "../oracle/car.ts";
import type { Settings } from "../oracle/settings.ts";
import { arm, smallSettings, standingCar } from "../oracle/stand.ts";
import { NativeCore } from "../support/native-core.ts";
import { twin } from "../support/native-twin.ts";
import { Random } from "../support/random.ts";
import {
  DENSE_PULSES,
  dip,
  heavyCar,
  heavySettings,
  launchHeavy,
  move,
  movingSettings,
  patternSettings,
  USUAL_PULSES,
} from "./heavy-car.ts";
import type { Row } from "./row.ts";
import { buildTickC } from "./tick-c/build.ts";
import { TickC, twinInC } from "./tick-c/twin.ts";

/** Ticks of steady flow; and of lifts and arm switch, which count for the worst of all only. */
const STEADY_TICKS = 2000;
const WILD_TICKS = 3000;
const SEED = 1;

interface Course {
  readonly name: string;
  readonly settings: Settings;
  readonly make: (settings: Settings, watch: (car: Car) => void) => Car;
  readonly launch: (car: Car) => void;
  /** What is done before each tick of steady flow. */
  readonly move?: (car: Car, tick: number) => void;
  readonly aim?: string;
}

/** Of ticks of steady flow, and the worst of the whole course with its arming, lifts and stops. */
interface Cycles {
  readonly worst: number;
  readonly mean: number;
  readonly worstOfAll: number;
}

function smallCar(settings: Settings, watch: (car: Car) => void): Car {
  const car = standingCar(settings);
  watch(car);
  return car;
}

const COURSES: readonly Course[] = [
  {
    name: "one stage",
    settings: smallSettings(),
    make: smallCar,
    launch: (car) => {
      arm(car);
      for (let i = 0; i < 200; i++) car.tick();
    },
  },
  {
    name: "four stages, every optional part, all flowing",
    settings: heavySettings(USUAL_PULSES),
    make: heavyCar,
    launch: launchHeavy,
    aim: "under 4000",
  },
  {
    name: "the same, both speed wires with a pulse in nearly every tick",
    settings: heavySettings(DENSE_PULSES),
    make: heavyCar,
    launch: launchHeavy,
    aim: "under 4000",
  },
  {
    name: "the same, places on ramps, a stage's window and the gear moving",
    settings: movingSettings(),
    make: heavyCar,
    launch: launchHeavy,
    move,
    aim: "under 4000",
  },
  {
    name: "the same, with patterns of several periods",
    settings: patternSettings(),
    make: heavyCar,
    launch: launchHeavy,
    move,
    aim: "under 4000",
  },
  {
    name: "the same, soon after battery and fuel held off",
    settings: patternSettings(),
    make: heavyCar,
    launch: (car) => {
      launchHeavy(car);
      dip(car);
    },
    move,
    aim: "under 4000",
  },
];

function wildly(car: Car): void {
  const random = new Random(SEED);
  for (let i = 0; i < WILD_TICKS; i++) {
    if (random.oneIn(60)) car.set("throttle", !random.oneIn(2));
    if (random.oneIn(400)) car.set("arm", !random.oneIn(2));
    car.tick();
  }
}

function drive(course: Course, watch: (car: Car, cycles: number[]) => void): Cycles {
  const cycles: number[] = [];
  const car = course.make(course.settings, (its) => watch(its, cycles));
  course.launch(car);
  const from = cycles.length;
  for (let i = 0; i < STEADY_TICKS; i++) {
    course.move?.(car, i);
    car.tick();
    if (!car.flowing) throw new Error(`nothing flows in tick ${i} of ${course.name}`);
  }
  const steady = cycles.slice(from);
  wildly(car);
  return {
    worst: Math.max(...steady),
    mean: steady.reduce((sum, c) => sum + c, 0) / steady.length,
    worstOfAll: Math.max(...cycles),
  };
}

/** Throws when the native core does not leave the same memory as the module in every tick. */
function ofCore(native: NativeCore, course: Course): Cycles {
  return drive(course, (car, cycles) =>
    twin(car.rig, native, (tick) => {
      cycles.push(tick.cycles);
      if (tick.differs !== undefined)
        throw new Error(`tick ${cycles.length} of ${course.name}: memory differs at ${tick.differs}`);
    }),
  );
}

/** Throws when the two do not say the same in every tick. */
function ofC(native: NativeCore, elf: ReturnType<typeof buildTickC>, course: Course): Cycles {
  const c = new TickC(native, elf, pack(course.settings as unknown as Parameters<typeof pack>[0]));
  return drive(course, (car, cycles) =>
    twinInC(car.rig, c, (tick) => {
      cycles.push(tick.cycles);
      if (tick.differs)
        throw new Error(`tick ${cycles.length} of ${course.name}: ${tick.differs} in C differs`);
    }),
  );
}

function rowsInC(name: string, core: Cycles, c: Cycles): Row[] {
  const aim = "at most 1.25";
  return [
    { name: `worst tick in C, ${name}`, value: c.worst, unit: "cycles" },
    { name: `mean tick in C, ${name}`, value: c.mean, unit: "cycles" },
    { name: `core over C, worst tick, ${name}`, value: core.worst / c.worst, unit: "x", aim },
    { name: `core over C, mean tick, ${name}`, value: core.mean / c.mean, unit: "x", aim },
  ];
}

/** Cycles of an emulated Cortex-M0+ without interrupts. Without the cross-compiler the rows of the tick in C are missing. */
export async function run(): Promise<Row[]> {
  const native = new NativeCore();
  const elf = compilerVersion() ? buildTickC() : undefined;
  if (!elf) process.stderr.write("no arm-none-eabi-gcc: the tick in C is not measured\n");
  return COURSES.flatMap((course) => {
    const { name, aim } = course;
    const core = ofCore(native, course);
    return [
      { name: `worst tick, ${name}`, value: core.worst, unit: "cycles", ...(aim ? { aim } : {}) },
      { name: `mean tick, ${name}`, value: core.mean, unit: "cycles" },
      { name: `worst tick with arming and stops, ${name}`, value: core.worstOfAll, unit: "cycles" },
      ...(elf ? rowsInC(name, core, ofC(native, elf, course)) : []),
    ];
  });
}

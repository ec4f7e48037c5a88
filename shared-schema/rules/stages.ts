// Rules of one stage: fuel with nitrous, times, room for the valves in a period, ramps that rise over what is fitted.
import { AXES, RAMP_POINTS, RAMPS_PER_STAGE } from "../settings/choices.ts";
import { gap, needs, plus, type Rule } from "./rule.ts";
import { windowRules } from "./windows.ts";

/** Opening and closing times of a solenoid. */
const TIMES = ["opening10VUs", "opening12VUs", "opening14VUs", "closingUs"] as const;
/** An intake stroke is half a turn: 30,000,000 / rpm microseconds. */
const STROKE_US_RPM = 30_000_000;

/** What must hold between the two valves of a wet stage. */
function pairRules(at: string): Rule[] {
  const [nitrous, fuel] = [`${at}.nitrousSolenoid`, `${at}.fuelSolenoid`];
  const close = "windows.engineSpeed.closeRpm";
  const apart = (time: string, later: string, sooner: string): Rule => ({
    id: "valves-apart",
    blame: `${fuel}.${time}`,
    when: [],
    terms: [
      { factor: 1, fields: [close, `${later}.${time}`] },
      { factor: -1, fields: [close, `${sooner}.${time}`] },
    ],
    constant: -STROKE_US_RPM,
    text: "nitrous or fuel flows alone for the difference of their valves' times, which must stay shorter than an intake stroke (30 s / rpm) at the speed where the window on engine speed closes: use valves that match better, or close the window at a lower speed",
  });
  const room = (opens: string, closes: string): Rule => ({
    id: "room-for-both",
    blame: `${fuel}.${opens === fuel ? "opening10VUs" : "closingUs"}`,
    when: [],
    terms: [
      { factor: 1, fields: ["flow.frequencyHz", `${opens}.opening10VUs`] },
      { factor: 1, fields: ["flow.frequencyHz", `${closes}.closingUs`] },
    ],
    constant: -800_000,
    text: "opening of one valve and closing of the other together may take at most 80 % of a period at this frequency, because both make the same share",
  });
  return [
    ...TIMES.flatMap((time) => [apart(time, nitrous, fuel), apart(time, fuel, nitrous)]),
    room(nitrous, fuel),
    room(fuel, nitrous),
  ];
}

function solenoidRules(at: string): Rule[] {
  const faster = "a solenoid cannot open faster at less voltage";
  const duty = (voltage: string): Rule => ({
    id: "duty-room",
    blame: `${at}.${voltage}Us`,
    when: [],
    terms: [
      { factor: 1, fields: ["flow.frequencyHz", `${at}.${voltage}Us`] },
      { factor: 1, fields: ["flow.frequencyHz", `${at}.closingUs`] },
    ],
    constant: -800_000,
    text: "opening and closing together may take at most 80 % of a period at this frequency",
  });
  return [
    gap("solenoid-voltage", `${at}.opening12VUs`, 0, `${at}.opening10VUs`, faster),
    gap("solenoid-voltage", `${at}.opening14VUs`, 0, `${at}.opening12VUs`, faster),
    ...["opening10V", "opening12V", "opening14V"].map(duty),
  ];
}

type Axis = (typeof AXES)[number];

/** The part that a ramp over each axis needs. Engine speed is always measured, and time always runs. */
const NEEDS: Readonly<Record<Axis, string | undefined>> = {
  time: undefined,
  launch: "launch",
  "engine-speed": undefined,
  "road-speed": "road",
  manifold: "manifold",
};

function rampRules(at: string): Rule[] {
  const over = `${at}.over`;
  const need = (axis: Axis): Rule[] => {
    const needed = NEEDS[axis];
    const text = `a ramp over this axis needs \`${needed}\``;
    const when = [{ field: over, value: AXES.indexOf(axis) }];
    return needed === undefined ? [] : [needs(`ramp-needs-${needed}`, over, when, needed, text)];
  };
  const rising = (_: unknown, i: number): Rule =>
    gap(
      "ramp-rising",
      `${at}.points.${i}.0`,
      1,
      `${at}.points.${i + 1}.0`,
      "the places of a ramp must rise from point to point",
    );
  return [...AXES.flatMap(need), ...Array.from({ length: RAMP_POINTS - 1 }, rising)];
}

function fuelRules(at: string): Rule[] {
  const wet = { field: `${at}.kind`, value: 0 };
  const dry = { field: `${at}.kind`, value: 1 };
  return [
    needs(
      "wet-needs-fuel",
      `${at}.kind`,
      [wet],
      `${at}.fuelSolenoid`,
      "a wet stage must have a fuel solenoid",
    ),
    {
      id: "dry-has-no-fuel",
      blame: `${at}.fuelSolenoid`,
      when: [dry],
      terms: [plus(`${at}.fuelSolenoid`)],
      constant: 0,
      text: "a dry stage has no fuel solenoid",
    },
    needs(
      "dry-needs-enrichment",
      `${at}.kind`,
      [dry],
      `${at}.enrichment`,
      "a dry stage must have its enrichment confirmed",
    ),
  ];
}

/** Rules of stage `s`, 0 to 3. */
export function stageRules(s: number): Rule[] {
  const at = `stages.${s}`;
  return [
    ...fuelRules(at),
    gap(
      "stage-in-run",
      `${at}.longestMs`,
      0,
      "flow.longestRunMs",
      "the longest run must not be shorter than the longest time of a stage",
    ),
    ...windowRules(`${at}.`),
    ...solenoidRules(`${at}.nitrousSolenoid`),
    ...solenoidRules(`${at}.fuelSolenoid`),
    ...pairRules(at),
    ...Array.from({ length: RAMPS_PER_STAGE }, (_, r) => rampRules(`${at}.ramps.${r}`)).flat(),
  ];
}

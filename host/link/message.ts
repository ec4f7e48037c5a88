// Messages by name, and refusals as failures with their reason in words.

import type { ErrorCode } from "#host/errors/codes.ts";
import { Failure } from "#host/errors/failure.ts";
import { RULE_IDS } from "#shared-schema/generated/fingerprint.ts";
import { MESSAGES, type Message, packedBytes, REFUSAL, REFUSALS } from "#shared-schema/link/messages.ts";
import { WORDS } from "#shared-schema/settings/words.ts";
import { decodePayload, numberOf } from "./payload.ts";

export type Reason = keyof typeof REFUSALS;

/** A message of the table. Throws on an unknown name, which is a mistake of the caller. */
export function messageNamed(name: string): Message {
  const found = MESSAGES.find((message) => message.name === name);
  if (!found) throw new Error(`no message ${name}`);
  return found;
}

/** An undamaged answer that this version of the messages does not know. */
export function wrongAnswer({ name, answer }: Message, bytes: number): Failure {
  const fixed = packedBytes(answer);
  const expected = answer.tail === undefined ? `${fixed} bytes` : `${fixed} to ${fixed + answer.tail} bytes`;
  return new Failure("wrong-answer", {
    what: `the controller answered \`${name}\` with ${bytes} bytes`,
    expected,
    data: { request: name, bytes },
  });
}

const CODES: Readonly<Partial<Record<Reason, ErrorCode>>> = {
  notOff: "not-off",
  badSettings: "device-refused-settings",
  wrongSchema: "schema-mismatch",
  flashFailed: "flash-failed",
  noSettings: "no-settings",
};

/** The controller refused. `reason` is undefined when this version does not know its number. */
export class Refused extends Failure {
  readonly reason: Reason | undefined;

  constructor(message: Message, payload: Uint8Array) {
    const values = decodePayload(REFUSAL, payload)?.values;
    const number = values ? numberOf(values, "reason") : 0;
    const reason = (Object.keys(REFUSALS) as Reason[]).find((name) => REFUSALS[name] === number);
    const code = (reason && CODES[reason]) ?? "refused";
    const settings = values && reason === "badSettings" ? faultOf(values) : undefined;
    const what = settings
      ? `the controller found the settings wrong at ${settings.path}, rule ${settings.rule}`
      : `the controller refused \`${message.name}\`: ${reason ?? `reason number ${number}`}`;
    super(code, {
      ...(code === "refused" || settings ? { what } : {}),
      data: { reason: reason ?? number, ...settings },
    });
    this.reason = reason;
  }
}

/** Decodes a refusal. Gives `wrong-answer` when its form is not one that this version knows. */
export function refusalOf(message: Message, payload: Uint8Array): Failure {
  return payload.length === packedBytes(REFUSAL)
    ? new Refused(message, payload)
    : wrongAnswer(message, payload.length);
}

function faultOf(values: NonNullable<ReturnType<typeof decodePayload>>["values"]): {
  path: string;
  rule: string;
} {
  const word = numberOf(values, "word");
  const rule = numberOf(values, "rule");
  return { path: WORDS[word]?.path ?? `word ${word}`, rule: RULE_IDS[rule] ?? String(rule) };
}

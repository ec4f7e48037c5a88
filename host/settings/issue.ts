// What is wrong, or unwise, in a settings file: always at a place, always with what it got and what it takes.
import type { SettingsErrorCode } from "#host/errors/codes.ts";

/** A place in a text, both counted from 1. `length` characters are meant. */
export interface Place {
  readonly line: number;
  readonly column: number;
  readonly length: number;
}

/** One error of a settings file. `field` is in the file's own keys, list entries counted from 1. */
export interface Issue extends Place {
  readonly code: SettingsErrorCode;
  readonly field: string;
  readonly text: string;
  readonly got?: string;
  readonly takes?: string;
  readonly nearest?: string;
  /** Id of the broken rule, for `headgate explain`. */
  readonly rule?: string;
}

/** Legal but unwise. Never blocks anything. */
export interface SettingsCaution extends Place {
  readonly caution: string;
  readonly field: string;
  readonly text: string;
}

/** First line and column first. */
export function byPlace(a: Place, b: Place): number {
  return a.line - b.line || a.column - b.column;
}

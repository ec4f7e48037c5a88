// The form of a command: how it registers itself, and how its work is wrapped in a session.
import type { Command } from "@commander-js/extra-typings";
import type { Result, Session } from "./session.ts";

/** Wraps the work of a command: sets the session up, prints what it comes to unless the command did so itself. */
export type Act = <A extends unknown[]>(
  // biome-ignore lint/suspicious/noConfusingVoidType: a command that prints by itself returns nothing
  work: (session: Session, ...args: A) => Promise<Result | void>,
) => (...args: A) => Promise<void>;

/** Adds one command to the program. */
export type AddCommand = (program: Command, act: Act) => void;
